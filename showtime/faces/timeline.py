"""The plan of a day as a printed bill: what is on, what is quiet, how full the caps get."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from showtime.faces.plain import ESTIMATE
from showtime.faces.strip import (
    PRINTED,
    TYPED,
    Marks,
    Strip,
    cap_lane,
    hour_figures,
    hour_ticks,
    lane,
    quiet_lane,
)
from showtime.faces.words import clock_time, typed
from showtime.fair import Performance, Plan, instant
from showtime.fair.budgets import Never
from showtime.fair.wishes import Wish, waits
from showtime.planning import Headroom, headroom

if TYPE_CHECKING:
    from rich.console import Console, ConsoleOptions, RenderResult
    from rich.text import Text

_MARGIN = 15
"""Columns left of the strip, for the names of its lanes."""

_ENTRY = 38
"""The least width of one entry of the programme."""

_NARROWEST = 40

# Inks of the 256-colour table that stand out from black and from white paper alike.
_TITLE, _PIECE, _QUIET, _FAINT = "bold", "bold dark_orange3", "steel_blue", "grey50"
_ROOMY, _TIGHT, _FULL = "color(65)", "dark_goldenrod", "bold red1"
_TIGHT_FROM = 0.85

_WISHES = {
    Wish.PERFORMANCES: "performances",
    Wish.WAIT: "short waits",
    Wish.ROUND_TIMES: "round times",
    Wish.EVEN_PIECES: "even pieces",
}

_LETTERS = "abcdefghijklmnopqrstuvwxyz"


@dataclass(frozen=True)
class Timeline:
    """What rich prints of a plan; made by `timeline`."""

    plan: Plan
    width: int
    colour: bool

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        from rich.text import Text

        marks = TYPED if options.ascii_only else PRINTED
        for line in _Bill(self.plan, self.width, marks).lines():
            if options.ascii_only:
                line.plain = typed(line.plain)
            yield line if self.colour else Text(line.plain, no_wrap=True)


def timeline(plan: Plan, width: int, colour: bool = True) -> Timeline:
    """`plan` for a rich console, at most `width` columns wide; bare of styles without `colour`.

    A console that cannot write UTF-8 gets plain ASCII.
    """
    return Timeline(plan, max(width, _NARROWEST), colour)


class _Bill:
    """The parts of the bill, from its title to its small print."""

    def __init__(self, plan: Plan, width: int, marks: Marks) -> None:
        self.plan, self.day, self.width, self.marks = plan, plan.day, width, marks
        self.strip = Strip.of(plan.day, width - _MARGIN - 1)
        reasons = dict.fromkeys(quiet.why for quiet in plan.day.quiet)
        self.letters = {why: _LETTERS[n % len(_LETTERS)] for n, why in enumerate(reasons)}

    def lines(self) -> Iterator[Text]:
        yield from self.title()
        yield from self.strips()
        yield from self.quiet_times()
        yield from self.caps()
        yield from self.programme()
        yield from self.small_print()

    def title(self) -> Iterator[Text]:
        board, hours = self.day.signboard, self.day.hours
        ornament = f" {self.marks.ornament} "
        rule = ornament.center(self.width, self.marks.rule)
        spaced = " ".join(board.stall.upper())
        stall = spaced if len(spaced) <= self.width else board.stall.upper()
        opens, closes = clock_time(self.day, hours.start), clock_time(self.day, hours.end)
        yield _line((rule, _FAINT))
        yield self.centred(stall, _TITLE)
        yield self.centred(f"{board.figure}{ornament}{board.fair}")
        yield self.centred(f"{self.day.date:%A %d %B %Y}, open from {opens} to {closes}")
        yield _line((rule, _FAINT))

    def centred(self, text: str, ink: str = "") -> Text:
        line = _line((text, ink))
        line.truncate(self.width, overflow="ellipsis")
        line.pad_left((self.width - line.cell_len) // 2)
        return line

    def strips(self) -> Iterator[Text]:
        yield _line()
        yield _line(" " * _MARGIN, (hour_figures(self.strip), _TITLE))
        yield _line(" " * _MARGIN, (hour_ticks(self.strip, self.marks), _FAINT))
        for piece in self.day.pieces:
            drawn = lane(self.strip, self.plan.performances, piece, self.marks)
            yield self.named_lane(piece.name, [(mark, self.ink(mark)) for mark in drawn])
        if self.day.quiet:
            drawn = quiet_lane(self.strip, self.letters, self.marks)
            yield self.named_lane("nothing sounds", [(mark, _QUIET) for mark in drawn])

    def ink(self, mark: str) -> str:
        return _QUIET if mark == self.marks.hush else _PIECE

    def named_lane(self, name: str, drawn: list[tuple[str, str]]) -> Text:
        from rich.cells import set_cell_size

        return _line(set_cell_size(name, _MARGIN - 1) + " ", *drawn)

    def quiet_times(self) -> Iterator[Text]:
        for why, letter in self.letters.items():
            spans = [quiet.span for quiet in self.day.quiet if quiet.why == why]
            times = ", ".join(
                f"{clock_time(self.day, span.start)} to {clock_time(self.day, span.end)}"
                for span in sorted(spans)
            )
            yield from self.hanging(f"{letter}  ", f"{why}: {times}")

    def hanging(self, mark: str, words: str) -> Iterator[Text]:
        from textwrap import wrap

        for number, part in enumerate(wrap(words, self.width - _MARGIN - len(mark))):
            lead = mark if number == 0 else " " * len(mark)
            yield _line(" " * _MARGIN, (lead, _QUIET), part)

    def caps(self) -> Iterator[Text]:
        rooms = headroom(self.day, self.plan.performances)
        if rooms:
            yield from self.heading("How full the caps get")
        for room in rooms:
            ink = _ink_of(room.used)
            yield from self.led(room.budget.why, self.fullest(room), ink)
            if not isinstance(room.budget.drain, Never):
                drawn = cap_lane(self.strip, room, self.marks)
                lanes = [(mark, _ink_of(used)) for mark, used in drawn]
                yield _line((f"{_percent(room)}  ".rjust(_MARGIN), ink), *lanes)

    def fullest(self, room: Headroom) -> str:
        figure = room.budget.shown(room.worst)
        if isinstance(room.budget.drain, Never):
            return f"{_percent(room)}, {figure} by {clock_time(self.day, room.at)}"
        if room.worst <= room.budget.initial:
            return figure
        return f"{figure} at {clock_time(self.day, room.at)}"

    def led(self, words: str, figure: str, ink: str) -> Iterator[Text]:
        """`words`, in as many lines as they need, a dotted leader, and `figure` at the edge."""
        from textwrap import wrap

        from rich.cells import cell_len

        if self.marks is TYPED:
            words, figure = typed(words), typed(figure)
        *before, last = wrap(words, max(self.width - cell_len(figure) - 4, _MARGIN))
        yield from (_line(part) for part in before)
        dots = self.leader(self.width - cell_len(last) - cell_len(figure))
        yield _line(last, (dots, _FAINT), (figure, ink))

    def leader(self, width: int) -> str:
        return f" {self.marks.leader * (width - 2)} "

    def heading(self, words: str) -> Iterator[Text]:
        yield _line()
        yield _line((words, _TITLE))

    def programme(self) -> Iterator[Text]:
        played = self.plan.performances
        if not played:
            yield from self.heading("No performance fits this day.")
            return
        count = f"{len(played)} performance{'s' if len(played) > 1 else ''}"
        yield from self.heading(f"{count}, each with the wait before it")
        across = max(1, self.width // _ENTRY)
        each = (self.width - 2 * (across - 1)) // across
        entries = [
            self.entry(performance, _in_minutes(wait), each)
            for performance, wait in zip(
                played, waits(self.day.hours, self.plan.starts), strict=False
            )
        ]
        down = -(-len(entries) // across)
        for row in range(down):
            line = _line()
            for entry in entries[row::down]:
                line.append_text(entry).append("  ")
            line.rstrip()
            yield line

    def entry(self, performance: Performance, wait: str, width: int) -> Text:
        from rich.cells import cell_len, set_cell_size

        lead = f"{self.marks.hand} {clock_time(self.day, performance.starts)}  "
        fixed = {instant(each.at) for each in self.day.wishes.fixed}
        name = performance.piece.name
        room = width - len(lead) - len(wait) - 3
        if performance.starts in fixed and cell_len(f"{name}, fixed") <= room:
            name = f"{name}, fixed"
        name = name if cell_len(name) <= room else set_cell_size(name, room)
        dots = self.leader(width - len(lead) - cell_len(name) - len(wait))
        return _line((lead, _TITLE), (name, _PIECE), (dots, _FAINT), wait)

    def small_print(self) -> Iterator[Text]:
        yield _line()
        mean, worst = _in_minutes(self.plan.mean_wait), _in_minutes(self.plan.longest_wait)
        yield from self.wrapped(f"A visitor waits {mean} on the mean and {worst} at worst.")
        proven = [_WISHES[level.name] for level in self.plan.levels if level.proven]
        unproven = [_WISHES[level.name] for level in self.plan.levels if not level.proven]
        if proven:
            yield from self.wrapped(f"Proven, none better is allowed: {', '.join(proven)}.")
        if unproven:
            words = f"Not proven in the time it had, better may exist: {', '.join(unproven)}."
            yield from self.wrapped(words, _TIGHT)
        yield from self.wrapped(ESTIMATE, _FAINT)

    def wrapped(self, words: str, ink: str = "") -> Iterator[Text]:
        from textwrap import wrap

        yield from (_line((part, ink)) for part in wrap(words, self.width))


def _in_minutes(stretch: timedelta) -> str:
    """To the minute or to a tenth of one: waits are compared, not timed."""
    return f"{stretch.total_seconds() / 60:.1f}".removesuffix(".0") + " min"


def _percent(room: Headroom) -> str:
    """Rounded down: only a full cap reads 100 %."""
    return f"{int(100 * room.used + 1e-6)} %"


def _ink_of(share: float) -> str:
    if share >= 1 - 1e-9:
        return _FULL
    return _TIGHT if share >= _TIGHT_FROM else _ROOMY


def _line(*parts: str | tuple[str, str]) -> Text:
    from rich.text import Text

    return Text.assemble(*parts, no_wrap=True, overflow="ellipsis")
