"""The organiser's pages: behind a door with a PIN, the hall as it is, and quiet at a press."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from secrets import token_urlsafe
from typing import TYPE_CHECKING, TypeVar

from showtime.faces.organiser.lines import printable
from showtime.faces.organiser.organised import OrganisedHall
from showtime.faces.organiser.sight import Sight
from showtime.faces.pages import Bulletin, Door, Doorway, PinFile, templates
from showtime.faces.pages.door import form_of, html, text
from showtime.fair import ShowtimeError

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response
    from starlette.routing import Route

T = TypeVar("T")

HERE = Path(__file__).parent

CHOICES, USUAL = (5, 10, 15, 30), 10
"""Minutes of quiet that one press asks for."""

NO_WHY = "the organiser asks for quiet"
WHYS = ("a speech", "an announcement", "music", "an accident")

LONGEST_WHY = 80
"""Characters: it is shown on small screens, and spoken."""

_PULSE, _STREAMS = 2.0, 16
_FILES = {"hall.css": "text/css", "hall.js": "text/javascript", "hall.svg": "image/svg+xml"}


class OrganiserDesk:
    """Lets in who knows the PIN. Everybody else sees the door alone."""

    def __init__(self, hall: OrganisedHall, pin: PinFile, monotonic: Callable[[], float]) -> None:
        self._hall = hall
        self._door = Door(_way(), pin, monotonic)
        self._doing = ThreadPoolExecutor(2, "organiser")
        self._streams = 0
        self.bulletin: Bulletin[Sight]

    def close(self) -> None:
        self._doing.shutdown(wait=False)
        self._door.close()

    def routes(self) -> list[Route]:
        from starlette.routing import Route

        return [
            Route("/", self._to_the_page),
            Route("/hall", self._page),
            Route("/hall/now", self._now),
            Route("/hall/changes", self._changes),
            Route("/hall/quiet", self._quiet, methods=["POST"]),
            Route("/hall/lift", self._lift, methods=["POST"]),
            *self._door.routes(),
            *(Route(f"/hall/{name}", self._file) for name in _FILES),
        ]

    async def _to_the_page(self, request: Request) -> Response:
        return self._door.back()

    async def _page(self, request: Request) -> Response:
        session = self._door.session(request)
        if session is None:
            return self._door.shut()
        said, session.said = session.said, ""
        return html(_rendered("hall.html", {
            "sheet": await self.bulletin.fresh(), "said": said, "form": session.form,
            "once": token_urlsafe(9), "choices": CHOICES, "usual": USUAL,
            "whys": WHYS, "no_why": NO_WHY,
        }))  # fmt: skip

    async def _now(self, request: Request) -> Response:
        session = self._door.session(request)
        if session is None:
            return text("the door is shut", 403)
        shown = await self.bulletin.fresh()
        told: dict[str, object] = {"sheet": shown, "form": session.form}
        return html(_rendered("hall_now.html", told))

    async def _changes(self, request: Request) -> Response:
        from starlette.responses import StreamingResponse

        allowed = self._door.session(request) is not None and request.method == "GET"
        if not allowed or self._streams >= _STREAMS:
            return text("the door is shut", 403)
        head = {"cache-control": "no-store", "x-accel-buffering": "no"}
        return StreamingResponse(self._stream(), media_type="text/event-stream", headers=head)

    async def _stream(self) -> AsyncIterator[str]:
        self._streams += 1
        try:
            async for shown in self.bulletin.changes(_PULSE):
                yield f"data: {'look' if shown is not None else 'pulse'}\n\n"
        finally:
            self._streams -= 1

    async def _quiet(self, request: Request) -> Response:
        session, form = self._door.session(request), await form_of(request)
        if session is None or not session.is_asked_by(form.get("form", "")):
            return text("not asked from the organiser's page; open it anew", 403)
        why = " ".join(printable(form.get("why", "")).split())
        if form.get("minutes") not in {str(each) for each in CHOICES} or len(why) > LONGEST_WHY:
            return text("no quiet that can be asked for here", 400)
        # A double tap asks once; but never may an old page keep quiet from being had.
        asked = f"{form.get('once', '')} {form['minutes']} {why}"
        if session.is_new(asked) or not (await self.bulletin.fresh()).hushes:
            minutes = int(form["minutes"])
            session.said = await self._beside(lambda: self._called(minutes, why or NO_WHY))
        else:
            session.said = "That was done already."
        return self._door.back()

    def _called(self, minutes: int, why: str) -> str:
        """Why quiet could not be called for. What came of it otherwise is on the page anyway."""
        try:
            self._hall.quiet(minutes, why)
        except ShowtimeError as error:
            return f"NOT DONE: {error}"
        return ""

    async def _lift(self, request: Request) -> Response:
        session, form = self._door.session(request), await form_of(request)
        if session is None or not session.is_asked_by(form.get("form", "")):
            return text("not asked from the organiser's page; open it anew", 403)
        call = form.get("call", "")
        lifted = await self._beside(lambda: self._hall.lift(call))
        session.said = "The quiet is lifted." if lifted else "That quiet is over already."
        return self._door.back()

    async def _beside(self, work: Callable[[], T]) -> T:
        return await asyncio.get_running_loop().run_in_executor(self._doing, work)

    async def _file(self, request: Request) -> Response:
        from starlette.responses import Response

        name = request.url.path.rpartition("/")[2]
        body = (HERE / "static" / name).read_bytes()
        return Response(body, media_type=_FILES[name], headers={"cache-control": "no-cache"})


def _way() -> Doorway:
    return Doorway(
        path="/hall",
        cookie="showtime-hall",
        door_cookie="showtime-hall-door",
        page=lambda told: _rendered("hall_door.html", told),
        missing="No PIN has been set. On the organiser's machine: showtime pin",
    )


def _rendered(name: str, told: dict[str, object]) -> str:
    return templates(HERE / "templates").get_template(name).render(told)
