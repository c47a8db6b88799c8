"""The keeper's pages: behind their door, the orders of the live day."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, TypeVar

from showtime.faces.pages.bulletin import Bulletin
from showtime.faces.pages.door import Door, Doorway, form_of, html, text
from showtime.faces.pages.keeper_view import View
from showtime.faces.pages.pin import PinFile
from showtime.faces.pages.sheets import HERE, templates
from showtime.fair import ShowtimeError

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response
    from starlette.routing import Route

    from showtime.live import House

T = TypeVar("T")

Mark = tuple[object, ...]

_PULSE = 3.0
_STREAMS = 12
_LONGEST = 200
"""Characters of an order."""

_FILES = {"keeper.css": "text/css", "keeper.js": "text/javascript"}


def _way() -> Doorway:
    return Doorway(
        path="/keeper",
        cookie="showtime-keeper",
        door_cookie="showtime-door",
        page=lambda told: _page("pin.html", told),
        missing="No PIN has been set. At the stall: showtime pin",
    )


class Keeper:
    """Lets in who knows the PIN, and does what they say. Everybody else sees the door alone."""

    def __init__(self, house: House, pin: PinFile) -> None:
        self._house = house
        self._door = Door(_way(), pin, house.clock.monotonic)
        self._view = View(house)
        self._doing = ThreadPoolExecutor(2, "keeper")
        self._streams = 0
        self.bulletin: Bulletin[Mark]

    def close(self) -> None:
        self._doing.shutdown(wait=False)
        self._door.close()

    def build(self) -> Mark:
        """Changes with whatever the remote shows."""
        state, now = self._house.day.state, self._house.clock.now()
        return state.last_at, state.stage, now.replace(second=0, microsecond=0)

    def routes(self) -> list[Route]:
        from starlette.routing import Route

        files = [Route(f"/keeper/{name}", self._file) for name in _FILES]
        return [
            Route("/keeper", self._page),
            Route("/keeper/now", self._now),
            Route("/keeper/changes", self._changes),
            Route("/keeper/do", self._do, methods=["POST"]),
            *self._door.routes(),
            *files,
        ]

    async def _page(self, request: Request) -> Response:
        session = self._door.session(request)
        if session is None:
            return self._door.shut()
        order = request.query_params.get("order", "").strip()[:_LONGEST]
        said, session.said = session.said, ""
        context = await self._beside(lambda: self._view.whole(session.form, order))
        return html(_page("keeper.html", {**context, "said": said}))

    async def _now(self, request: Request) -> Response:
        session = self._door.session(request)
        if session is None:
            return text("the door is shut", 403)
        context = await self._beside(lambda: self._view.now(session.form))
        return html(_page("keeper_now.html", context))

    async def _changes(self, request: Request) -> Response:
        from starlette.responses import StreamingResponse

        allowed = self._door.session(request) is not None and request.method == "GET"
        if not allowed or self._streams >= _STREAMS:
            return text("the door is shut", 403)
        head = {"cache-control": "no-store"}
        return StreamingResponse(self._stream(), media_type="text/event-stream", headers=head)

    async def _stream(self) -> AsyncIterator[str]:
        self._streams += 1
        try:
            async for mark in self.bulletin.changes(_PULSE):
                yield f"data: {'look' if mark is not None else 'pulse'}\n\n"
        finally:
            self._streams -= 1

    async def _do(self, request: Request) -> Response:
        session, form = self._door.session(request), await form_of(request)
        if session is None or not session.is_asked_by(form.get("form", "")):
            return text("not asked from the keeper's page; open it anew", 403)
        words = form.get("words", "").split()
        if not words or len(form["words"]) > _LONGEST or words[0].lower() == "end":
            return text("no order for a remote", 400)
        if words[0].lower() == "hold" or session.is_new(form.get("once", "")):
            session.said = await self._beside(lambda: self._told(words))
        else:
            session.said = "That was done already."
        return self._door.back()

    def _told(self, words: list[str]) -> str:
        try:
            return self._house.tell(["ask", "remote"] if words[0].lower() == "ask" else words)
        except ShowtimeError as error:
            return str(error)

    async def _beside(self, work: Callable[[], T]) -> T:
        return await asyncio.get_running_loop().run_in_executor(self._doing, work)

    async def _file(self, request: Request) -> Response:
        from starlette.responses import Response

        name = request.url.path.rpartition("/")[2]
        body = (HERE / "static" / name).read_bytes()
        return Response(body, media_type=_FILES[name])


def _page(name: str, context: dict[str, object]) -> str:
    return templates().get_template(name).render(context)
