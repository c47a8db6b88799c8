"""A door with a PIN, and what the pages behind it share: sessions, forms, short answers."""

from __future__ import annotations

import asyncio
import secrets
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING
from urllib.parse import parse_qs

from showtime.faces.pages.pin import PinFile
from showtime.faces.pages.sessions import LASTS, Session, Sessions
from showtime.faces.pages.tries import Tries

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response
    from starlette.routing import Route


@dataclass(frozen=True, slots=True)
class Doorway:
    """Where a door stands. `path` is that of the pages behind it; their cookies have names of their
    own, since a browser keeps cookies apart by machine and path, not by port.

    `page` makes the door's page of what it is told, `said` and `door`.
    """

    path: str
    cookie: str
    door_cookie: str
    page: Callable[[dict[str, object]], str]
    missing: str


class Door:
    """Lets in who knows the PIN; for a while each, and fewer tries the more were wrong."""

    def __init__(self, way: Doorway, pin: PinFile, monotonic: Callable[[], float]) -> None:
        self._way = way
        self._pin = pin
        self._monotonic = monotonic
        self._tries = Tries()
        self._sessions = Sessions()
        self._hashing = ThreadPoolExecutor(1, "pin")

    def close(self) -> None:
        self._hashing.shutdown(wait=False)

    def routes(self) -> list[Route]:
        from starlette.routing import Route

        return [
            Route(f"{self._way.path}/pin", self._enter, methods=["POST"]),
            Route(f"{self._way.path}/leave", self._leave, methods=["POST"]),
        ]

    def session(self, request: Request) -> Session | None:
        """That of the browser which asks; None for one that has not been let in."""
        mark, now = self._pin.mark, self._monotonic()
        token = request.cookies.get(self._way.cookie, "")
        return self._sessions.find(token, mark, now) if mark else None

    def shut(self, said: str = "", status: int = 200) -> Response:
        """The door from outside."""
        if not self._pin.mark:
            return text(self._way.missing, 404)
        door = secrets.token_urlsafe(24)
        answer = html(self._way.page({"said": said, "door": door}), status)
        self._give(answer, self._way.door_cookie, door)
        return answer

    def back(self) -> Response:
        """To the page, which then tells what came of it."""
        from starlette.responses import RedirectResponse

        return RedirectResponse(self._way.path, 303, {"cache-control": "no-store"})

    async def _enter(self, request: Request) -> Response:
        form, door = await form_of(request), request.cookies.get(self._way.door_cookie, "")
        if not door or not secrets.compare_digest(door.encode(), form.get("door", "").encode()):
            return self.shut("Once more, please.", 403)
        address = request.client.host if request.client else ""
        now = self._monotonic()
        wait = self._tries.wait(address, now)
        if wait > 0:
            return self.shut(f"Too many tries. Again in {round(wait) + 1} seconds.", 429)
        self._tries.begun(address, now)
        loop, pin = asyncio.get_running_loop(), form.get("pin", "")
        if not await loop.run_in_executor(self._hashing, self._pin.fits, pin):
            return self.shut("That is not it.", 403)
        self._tries.was_right(address)
        session = self._sessions.open(self._pin.mark, now)
        answer = self.back()
        self._give(answer, self._way.cookie, session.token)
        return answer

    async def _leave(self, request: Request) -> Response:
        session, form = self.session(request), await form_of(request)
        if session is None or not session.is_asked_by(form.get("form", "")):
            return text("not asked from these pages", 403)
        self._sessions.close(session)
        answer = self.back()
        answer.delete_cookie(self._way.cookie, path=self._way.path)
        return answer

    def _give(self, answer: Response, name: str, value: str) -> None:
        answer.set_cookie(
            name, value, max_age=round(LASTS), path=self._way.path, httponly=True, samesite="strict"
        )


async def form_of(request: Request) -> dict[str, str]:
    """The fields of a form, each once; what is no form is an empty one."""
    body = (await request.body()).decode("utf-8", "replace")
    try:
        fields = parse_qs(body, max_num_fields=8)
    except ValueError:
        return {}
    return {name: values[0] for name, values in fields.items()}


def html(page: str, status: int = 200) -> Response:
    from starlette.responses import HTMLResponse

    return HTMLResponse(page, status, {"cache-control": "no-store"})


def text(line: str, status: int) -> Response:
    from starlette.responses import PlainTextResponse

    return PlainTextResponse(f"{line}\n", status, {"cache-control": "no-store"})
