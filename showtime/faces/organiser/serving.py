"""The organiser's pages beside the hall: a server of their own, which the hall never waits for."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import asynccontextmanager
from typing import TYPE_CHECKING

from showtime.faces.organiser.desk import OrganiserDesk
from showtime.faces.organiser.organised import OrganisedHall
from showtime.faces.pages import Bulletin, PageServer, PinFile, serve

if TYPE_CHECKING:
    from starlette.types import ASGIApp

PORT = 8018


def open_organiser_pages(
    hall: OrganisedHall,
    monotonic: Callable[[], float],
    port: int = PORT,
    *,
    lan: bool = False,
    pin: PinFile | None = None,
) -> PageServer:
    """Serve the hall to its organiser; PagesError when the port cannot be had.

    `pin` is where the PIN is kept; that of the present user, unless another is given.
    """
    kept = pin or PinFile.of_this_user()
    return serve(lambda where: _app(hall, monotonic, kept), port, lan=lan)


def _app(hall: OrganisedHall, monotonic: Callable[[], float], pin: PinFile) -> ASGIApp:
    from starlette.applications import Starlette

    desk = OrganiserDesk(hall, pin, monotonic)

    @asynccontextmanager
    async def open_bulletin(app: Starlette) -> AsyncIterator[None]:
        with ThreadPoolExecutor(1, "hall") as builder:
            desk.bulletin = Bulletin(hall.sight, builder)
            unwatch = hall.watch(desk.bulletin.stirred)
            keeping = asyncio.create_task(desk.bulletin.keep())
            try:
                yield
            finally:
                unwatch()
                keeping.cancel()
                desk.close()

    return Starlette(routes=desk.routes(), lifespan=open_bulletin)
