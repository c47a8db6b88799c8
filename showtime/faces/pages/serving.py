"""A web server on a thread and a loop of its own, which nobody waits for."""

from __future__ import annotations

import asyncio
import socket
import threading
from collections.abc import Callable
from typing import TYPE_CHECKING

from showtime.faces.pages.addresses import PageAddress, addresses
from showtime.fair import ShowtimeError

if TYPE_CHECKING:
    import uvicorn
    from starlette.types import ASGIApp

_PATIENCE = 5.0
"""Seconds for the server to begin, and to end."""


class PagesError(ShowtimeError):
    """The pages cannot be served."""


class PageServer:
    """Pages in a browser, served until `close`."""

    def __init__(
        self, server: uvicorn.Server, listening: socket.socket, where: PageAddress
    ) -> None:
        self.where = where
        self._server = server
        self._listening = listening
        self._thread = threading.Thread(target=self._run, name="pages", daemon=True)
        self._thread.start()

    def _run(self) -> None:
        asyncio.run(self._serve())

    async def _serve(self) -> None:
        await self._server.serve(sockets=[self._listening])
        # Who still listens for news is let go of, and not left to be found open when all is over.
        for each in tuple(self._server.server_state.connections):
            if each.transport is not None:
                each.transport.abort()
        await asyncio.sleep(0)

    def close(self) -> None:
        """Serve no more; browsers notice and say so."""
        self._server.should_exit = True
        self._thread.join(_PATIENCE)
        self._listening.close()


def serve(app_at: Callable[[PageAddress], ASGIApp], port: int, *, lan: bool) -> PageServer:
    """Serve, guarded, what `app_at` makes for an address; PagesError: the port cannot be had."""
    from showtime.faces.pages.guard import Guard

    listening = _listening("0.0.0.0" if lan else "127.0.0.1", port)
    where = addresses(listening.getsockname()[1], lan=lan)[0]
    guarded = Guard(app_at(where), ("127.0.0.1", "localhost", *_names(lan)))
    return PageServer(_server(guarded), listening, where)


def _listening(host: str, port: int) -> socket.socket:
    # Named TCP, or the loop leaves Nagle's algorithm on, and each small answer takes 40 ms longer.
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((host, port))
        listening.listen(128)  # who comes before the server is ready waits a moment
    except OSError as error:
        listening.close()
        raise PagesError(
            f"the pages: port {port} cannot be had ({error.strerror}); name another with --port"
        ) from None
    return listening


def _names(lan: bool) -> list[str]:
    """What this machine is called on a network without a name server."""
    name = socket.gethostname().lower()
    return [name, f"{name}.local"] if lan else []


def _server(app: ASGIApp) -> uvicorn.Server:
    import uvicorn

    from showtime.faces.pages.bounded import Bounded

    return uvicorn.Server(
        uvicorn.Config(
            app,
            http=Bounded,
            ws="none",
            lifespan="on",
            loop="asyncio",
            log_config=None,
            access_log=False,
            log_level="critical",
            server_header=False,
            date_header=False,
            proxy_headers=False,
            timeout_keep_alive=5,
            timeout_graceful_shutdown=1,
            h11_max_incomplete_event_size=8192,
            backlog=128,
        )
    )
