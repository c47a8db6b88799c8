"""The keeper's pages: a door with a PIN, and behind it the orders of the live day."""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import AsyncIterator, Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, TypeVar
from urllib.parse import parse_qs

from showtime.faces.pages.bulletin import Bulletin
from showtime.faces.pages.keeper_view import View
from showtime.faces.pages.pin import PinFile
from showtime.faces.pages.sessions import LASTS, Session, Sessions
from showtime.faces.pages.sheets import HERE, templates
from showtime.faces.pages.tries import Tries
from showtime.fair import ShowtimeError

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response
    from starlette.routing import Route

    from showtime.live import House

T = TypeVar("T")

Mark = tuple[object, ...]

_COOKIE, _DOOR = "showtime-keeper", "showtime-door"
_PULSE = 3.0
_STREAMS = 12
_LONGEST = 200
"""Characters of an order."""

_FILES = {"keeper.css": "text/css", "keeper.js": "text/javascript"}


class Keeper:
    """Lets in who knows the PIN, and does what they say. Everybody else sees the door alone."""

    def __init__(self, house: House, pin: PinFile) -> None:
        self._house = house
        self._pin = pin
        self._view = View(house)
        self._tries = Tries()
        self._sessions = Sessions()
        self._doing = ThreadPoolExecutor(2, "keeper")
        self._hashing = ThreadPoolExecutor(1, "pin")
        self._streams = 0
        self.bulletin: Bulletin[Mark]

    def close(self) -> None:
        self._doing.shutdown(wait=False)
        self._hashing.shutdown(wait=False)

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
            Route("/keeper/pin", self._enter, methods=["POST"]),
            Route("/keeper/do", self._do, methods=["POST"]),
            Route("/keeper/leave", self._leave, methods=["POST"]),
            *files,
        ]

    async def _page(self, request: Request) -> Response:
        session = self._session(request)
        if session is None:
            return self._door("")
        order = request.query_params.get("order", "").strip()[:_LONGEST]
        said, session.said = session.said, ""
        context = await self._beside(lambda: self._view.whole(session.form, order))
        return _html("keeper.html", {**context, "said": said})

    async def _now(self, request: Request) -> Response:
        session = self._session(request)
        if session is None:
            return _text("the door is shut", 403)
        return _html("keeper_now.html", await self._beside(lambda: self._view.now(session.form)))

    async def _changes(self, request: Request) -> Response:
        from starlette.responses import StreamingResponse

        allowed = self._session(request) is not None and request.method == "GET"
        if not allowed or self._streams >= _STREAMS:
            return _text("the door is shut", 403)
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
        session, form = self._session(request), await _form(request)
        if session is None or not session.is_asked_by(form.get("form", "")):
            return _text("not asked from the keeper's page; open it anew", 403)
        words = form.get("words", "").split()
        if not words or len(form["words"]) > _LONGEST or words[0].lower() == "end":
            return _text("no order for a remote", 400)
        if words[0].lower() == "hold" or session.is_new(form.get("once", "")):
            session.said = await self._beside(lambda: self._told(words))
        else:
            session.said = "That was done already."
        return _back()

    def _told(self, words: list[str]) -> str:
        try:
            return self._house.tell(["ask", "remote"] if words[0].lower() == "ask" else words)
        except ShowtimeError as error:
            return str(error)

    async def _enter(self, request: Request) -> Response:
        form, door = await _form(request), request.cookies.get(_DOOR, "")
        if not door or not secrets.compare_digest(door.encode(), form.get("door", "").encode()):
            return self._door("Once more, please.", 403)
        address = request.client.host if request.client else ""
        now = self._house.clock.monotonic()
        wait = self._tries.wait(address, now)
        if wait > 0:
            return self._door(f"Too many tries. Again in {round(wait) + 1} seconds.", 429)
        self._tries.begun(address, now)
        loop, pin = asyncio.get_running_loop(), form.get("pin", "")
        if not await loop.run_in_executor(self._hashing, self._pin.fits, pin):
            return self._door("That is not it.", 403)
        self._tries.was_right(address)
        session = self._sessions.open(self._pin.mark, now)
        answer = _back()
        _give(answer, _COOKIE, session.token)
        return answer

    async def _leave(self, request: Request) -> Response:
        session, form = self._session(request), await _form(request)
        if session is None or not session.is_asked_by(form.get("form", "")):
            return _text("not asked from the keeper's page", 403)
        self._sessions.close(session)
        answer = _back()
        answer.delete_cookie(_COOKIE, path="/keeper")
        return answer

    def _session(self, request: Request) -> Session | None:
        mark, now = self._pin.mark, self._house.clock.monotonic()
        token = request.cookies.get(_COOKIE, "")
        return self._sessions.find(token, mark, now) if mark else None

    def _door(self, said: str, status: int = 200) -> Response:
        if not self._pin.mark:
            return _text("No PIN has been set. At the stall: showtime pin", 404)
        door = secrets.token_urlsafe(24)
        answer = _html("pin.html", {"said": said, "door": door}, status)
        _give(answer, _DOOR, door)
        return answer

    async def _beside(self, work: Callable[[], T]) -> T:
        return await asyncio.get_running_loop().run_in_executor(self._doing, work)

    async def _file(self, request: Request) -> Response:
        from starlette.responses import Response

        name = request.url.path.rpartition("/")[2]
        body = (HERE / "static" / name).read_bytes()
        return Response(body, media_type=_FILES[name])


async def _form(request: Request) -> dict[str, str]:
    """The fields of a form, each once; what is no form is an empty one."""
    body = (await request.body()).decode("utf-8", "replace")
    try:
        fields = parse_qs(body, max_num_fields=8)
    except ValueError:
        return {}
    return {name: values[0] for name, values in fields.items()}


def _html(name: str, context: dict[str, object], status: int = 200) -> Response:
    from starlette.responses import HTMLResponse

    page = templates().get_template(name).render(context)
    return HTMLResponse(page, status, {"cache-control": "no-store"})


def _text(text: str, status: int) -> Response:
    from starlette.responses import PlainTextResponse

    return PlainTextResponse(f"{text}\n", status, {"cache-control": "no-store"})


def _back() -> Response:
    from starlette.responses import RedirectResponse

    return RedirectResponse("/keeper", 303, {"cache-control": "no-store"})


def _give(answer: Response, name: str, value: str) -> None:
    answer.set_cookie(
        name, value, max_age=round(LASTS), path="/keeper", httponly=True, samesite="strict"
    )
