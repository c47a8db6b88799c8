"""The live day on the keeper's terminal: readable from two steps away, no glasses on."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from showtime.faces.daystrip import day_strip
from showtime.faces.strip import PRINTED, TYPED, Marks
from showtime.faces.words import clock_time, length
from showtime.live import DayState, Stage

if TYPE_CHECKING:
    from rich.console import Console, RenderableType
    from rich.text import Text

    from showtime.live import Line

KEYS = (
    "space ask   h hold   r go on   l 5 min late   s skip   t type an order",
    "p play now   c quiet for 10 min   u undo   q end the day",
)

LEAVES = "Enter does it   Esc gives up"

_FOR_A_STRIP = 22
"""Lines of a terminal from which on there is room for the day's strip."""

_LABEL = "bold"
_SOON = timedelta(minutes=3)


class Screen:
    """Shows the state over the whole terminal, once a second."""

    every = 1.0

    def __init__(self, console: Console | None = None) -> None:
        from rich.console import Console
        from rich.live import Live

        self._console = console or Console()
        self._live: Any = Live(console=self._console, screen=True, auto_refresh=False)
        self._live.start()

    def show(self, state: DayState, now: datetime, note: str, line: Line | None = None) -> None:
        width, height = self._console.size
        marks = TYPED if self._console.options.ascii_only else PRINTED
        shown = bill(state, now, note, width, height, line, marks)
        self._live.update(shown, refresh=True)

    def close(self) -> None:
        self._live.stop()


def bill(
    state: DayState,
    now: datetime,
    note: str,
    width: int = 80,
    height: int = 24,
    line: Line | None = None,
    marks: Marks = PRINTED,
) -> RenderableType:
    """What the screen shows at `now`, at most `height` lines.

    While the keeper types a `line`, it stands in the place of the keys, which do nothing then, and
    of the strip.
    """
    from rich.align import Align
    from rich.console import Group
    from rich.rule import Rule
    from rich.table import Table
    from rich.text import Text

    board = state.day.signboard
    local = state.day.local(now)
    title = f"{board.figure}  *  {board.stall}  *  {local:%A %d %B}"
    table = Table.grid(padding=(0, 2))
    table.add_column(justify="right", style=_LABEL, width=9)
    table.add_column(ratio=1, overflow="ellipsis", no_wrap=True)
    strip = [] if line or height < _FOR_A_STRIP else day_strip(state, now, width, marks)
    other = 17 if line else 15 + len(strip) + bool(strip)
    for label, row in _rows(state, now, rows=max(3, height - other)):
        table.add_row(label, row)
    answer = state.last_answer
    spoken = Text(answer.whole if answer else "", style="italic", justify="center")
    asked = {0: "nobody has asked yet", 1: "asked once"}.get(
        state.asked, f"asked {state.asked} times"
    )
    return Group(
        Rule(Text(title), characters="="),
        Align.center(Text(f"{local:%H:%M:%S}", style="bold reverse")),
        Text(),
        table,
        *([Text(), *strip] if strip else []),
        Text(),
        spoken,
        Text(asked, style="dim", justify="center"),
        *([] if line else [Text(_short(note, 2 * width), style="bold", justify="center")]),
        Rule(characters="-"),
        *(_typing(line, width) if line else _keys()),
    )


def _short(text: str, most: int) -> str:
    """The text, cut where it would take too many lines; some room is lost where words wrap."""
    room = most - most // 10
    return text if len(text) <= room else f"{text[: room - 3].rstrip()}..."


def _keys() -> list[Text]:
    from rich.text import Text

    return [Text(keys, justify="center", no_wrap=True, overflow="ellipsis") for keys in KEYS]


def _typing(line: Line, width: int) -> list[Text]:
    """The line with its end in sight, what it would do, and how to leave it."""
    from rich.text import Text

    shown = Text("tell: ", style=_LABEL, no_wrap=True)
    shown.append(line.text[-(width - 8) :], style="bold")
    shown.append(" ", style="reverse")
    hint = Text(_short(line.hint, 3 * width), style="bold reverse" if line.wrong else "italic")
    return [shown, hint, Text(LEAVES, justify="center", style="dim")]


def _rows(state: DayState, now: datetime, rows: int) -> list[tuple[str, Text]]:
    from rich.text import Text

    found = [("ON", _on(state, now)), ("NEXT", _next(state, now))]
    then = [
        Text(f"{clock_time(state.day, slot.starts)}  {slot.piece}") for slot in state.upcoming[1:]
    ]
    found += [("THEN" if i == 0 else "", line) for i, line in enumerate(then)]
    if len(found) > rows:
        left = len(found) - rows + 1
        found = [*found[: rows - 1], ("", Text(f"and {left} more", style="dim"))]
    hush = _quiet(state, now)
    return [*found, ("QUIET", hush)] if hush else found


def _on(state: DayState, now: datetime) -> Text:
    from rich.text import Text

    if state.stage is Stage.HELD:
        return Text(f"HELD: {state.hold}. r lets it go on", style="bold reverse")
    if state.playing is None:
        return Text("nothing", style="dim")
    piece = state.day.piece(state.playing.piece)
    left = state.played[-1].started + piece.lasts - now
    return Text(f"{piece.name}, {length(left)} to go", style="bold")


def _next(state: DayState, now: datetime) -> Text:
    from rich.text import Text

    slot = state.next
    if slot is None:
        return Text("nothing more today", style="dim")
    away = slot.starts - now
    line = Text(f"{clock_time(state.day, slot.starts)}  ", style="bold")
    line.append(slot.piece)
    line.append(f"   in {length(away)}" if away > timedelta(0) else "   overdue", style="bold")
    if away <= _SOON:
        line.stylize("reverse")
    return line


def _quiet(state: DayState, now: datetime) -> Text | None:
    """The quiet interval that is on, or the next one of the day."""
    from rich.text import Text

    ahead = sorted(
        (quiet for quiet in state.day.quiet if quiet.span.end > now), key=lambda q: q.span.start
    )
    if not ahead:
        return None
    quiet, day = ahead[0], state.day
    times = f"{clock_time(day, quiet.span.start)} to {clock_time(day, quiet.span.end)}"
    on = quiet.span.start <= now
    return Text(f"{times}  {quiet.why}{'  (now)' if on else ''}", style="bold" if on else "")
