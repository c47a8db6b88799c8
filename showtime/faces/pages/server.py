"""The stall's pages beside its day: the board for everybody, the remote for the keeper."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import asynccontextmanager
from typing import TYPE_CHECKING

from showtime.faces.pages.addresses import PageAddress, network_url
from showtime.faces.pages.pin import PinFile
from showtime.faces.pages.serving import PageServer, serve

if TYPE_CHECKING:
    from starlette.types import ASGIApp

    from showtime.live import House

PORT = 8017


def open_pages(
    house: House, port: int = PORT, *, lan: bool = False, pin: PinFile | None = None
) -> PageServer:
    """Serve the pages of the house; PagesError when the port cannot be had.

    `pin` is where the keeper's is kept; that of the present user, unless another is given.
    """
    kept = pin or PinFile.of_this_user()
    return serve(lambda where: _app(house, where, kept, lan=lan), port, lan=lan)


def _app(house: House, where: PageAddress, pin: PinFile, *, lan: bool) -> ASGIApp:
    from starlette.applications import Starlette

    from showtime.faces.pages.bulletin import Bulletin
    from showtime.faces.pages.keeper import Keeper
    from showtime.faces.pages.visitors import Visitors

    visitors = Visitors(house, lambda: network_url(where.port) if lan else "")
    keeper = Keeper(house, pin)

    @asynccontextmanager
    async def open_bulletins(app: Starlette) -> AsyncIterator[None]:
        with ThreadPoolExecutor(1, "board") as builder:
            visitors.bulletin = Bulletin(visitors.build, builder)
            keeper.bulletin = Bulletin(keeper.build, builder)
            keeping = []
            for bulletin in (visitors.bulletin, keeper.bulletin):
                house.watch(bulletin.stirred)
                keeping.append(asyncio.create_task(bulletin.keep()))
            try:
                yield
            finally:
                for task in keeping:
                    task.cancel()
                keeper.close()

    return Starlette(routes=[*visitors.routes(), *keeper.routes()], lifespan=open_bulletins)
