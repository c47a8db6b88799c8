"""The pages that everybody may see: the board, its changes, calendar files, the code."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import AsyncIterator, Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from showtime.faces.pages.bill import Bill, bill
from showtime.faces.pages.bulletin import Bulletin
from showtime.faces.pages.codes import code_picture
from showtime.faces.pages.labels import labels
from showtime.faces.pages.sheets import HERE, Sheet, sheets, templates
from showtime.faces.pages.visitors_calendar import day_calendar, next_calendar

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response
    from starlette.routing import Route

    from showtime.fair import Day
    from showtime.live import House

PULSE = 2.0
"""Seconds between signs of life; a board that hears none for three of them says so."""

STREAMS = 120
"""Boards and phones that are kept up to date at once; others load the page anew by hand."""

FROM_ONE = 24
"""Of them, those from one address."""

_FILES = {
    "board.css": "text/css",
    "board.js": "text/javascript",
    "hand.svg": "image/svg+xml",
    "mark.svg": "image/svg+xml",
}


@dataclass(frozen=True)
class Shown:
    """The board as it stands."""

    day: Day
    bill: Bill
    sheets: tuple[Sheet, ...]

    @property
    def told(self) -> str:
        """What is told, in no language: other words for it are no news."""
        return f"{self.bill.kind} {self.bill.at}"


class Visitors:
    """Answers visitors' browsers from one bulletin."""

    def __init__(self, house: House, url: Callable[[], str]) -> None:
        """`url` is where phones find the board just now; empty when they cannot reach it."""
        self._house = house
        self._url = url
        self._streams: Counter[str] = Counter()
        self.bulletin: Bulletin[Shown]

    def build(self) -> Shown:
        """The board now; the start that it tells is promised from here on."""
        state = self._house.day.shown()
        shown = bill(state, self._house.clock.now())
        return Shown(state.day, shown, sheets(state.day, shown))

    def routes(self) -> list[Route]:
        from starlette.routing import Route

        files = [Route(f"/{name}", self._file) for name in _FILES]
        return [
            Route("/", self._board),
            Route("/changes", self._changes),
            Route("/day.ics", self._day),
            Route("/next.ics", self._next),
            Route("/code.svg", self._code_picture),
            *files,
        ]

    async def _board(self, request: Request) -> Response:
        from starlette.responses import HTMLResponse

        shown = await self.bulletin.fresh()
        board = shown.day.signboard
        page = templates().get_template("board.html").render(
            fair=board.fair, stall=board.stall, figure=board.figure, sheets=shown.sheets,
            words=labels(board.languages[0]), clock=self._clock(shown.day),
            code=self._url(),
        )  # fmt: skip
        return HTMLResponse(page, headers={"cache-control": "no-store"})

    async def _changes(self, request: Request) -> Response:
        from starlette.responses import PlainTextResponse, StreamingResponse

        host = request.client.host if request.client else ""
        if self._streams.total() >= STREAMS or self._streams[host] >= FROM_ONE:
            return PlainTextResponse("too many boards\n", 503, {"retry-after": "5"})
        if request.method == "HEAD":
            return PlainTextResponse("")
        head = {"cache-control": "no-store", "x-accel-buffering": "no"}
        return StreamingResponse(self._stream(host), media_type="text/event-stream", headers=head)

    async def _stream(self, host: str) -> AsyncIterator[str]:
        self._streams[host] += 1
        try:
            async for shown in self.bulletin.changes(PULSE):
                yield f"data: {json.dumps(self._message(shown), ensure_ascii=False)}\n\n"
        finally:
            self._streams[host] -= 1
            self._streams += Counter()  # whoever has gone is forgotten

    def _message(self, shown: Shown | None) -> dict[str, Any]:
        now = self._house.clock.now()
        day = self._house.day.state.day if shown is None else shown.day
        message: dict[str, Any] = {
            "now": round(now.timestamp() * 1000),
            "clock": self._clock(day),
        }
        if shown is not None:
            message["told"] = shown.told
            message["order"] = [sheet.language for sheet in shown.sheets]
            message["sheets"] = {
                sheet.language: {
                    "html": sheet.html,
                    "lost": labels(sheet.language).lost,
                    "phone": labels(sheet.language).phone,
                    "light": labels(sheet.language).light,
                }
                for sheet in shown.sheets
            }
        return message

    async def _day(self, request: Request) -> Response:
        shown = await self.bulletin.fresh()
        return _calendar(day_calendar(shown.day, shown.bill, self._house.clock.now()), "day")

    async def _next(self, request: Request) -> Response:
        shown = await self.bulletin.fresh()
        return _calendar(next_calendar(shown.day, shown.bill, self._house.clock.now()), "next")

    async def _code_picture(self, request: Request) -> Response:
        from starlette.responses import PlainTextResponse, Response

        url = self._url()
        if not url:
            return PlainTextResponse("there is none\n", 404)
        head = {"cache-control": "no-store"}
        return Response(code_picture(url), media_type="image/svg+xml", headers=head)

    async def _file(self, request: Request) -> Response:
        from starlette.responses import Response

        name = request.url.path[1:]
        body = (HERE / "static" / name).read_bytes()
        head = {"cache-control": "max-age=300"}
        return Response(body, media_type=_FILES[name], headers=head)

    def _clock(self, day: Day) -> str:
        return f"{day.local(self._house.clock.now()):%H:%M}"


def _calendar(file: bytes | None, name: str) -> Response:
    from starlette.responses import PlainTextResponse, Response

    if file is None:
        return PlainTextResponse("no time is told just now\n", 404)
    head = {
        "content-disposition": f'attachment; filename="{name}.ics"',
        "cache-control": "no-store",
    }
    return Response(file, media_type="text/calendar", headers=head)
