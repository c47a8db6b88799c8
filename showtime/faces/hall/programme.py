"""The joint plan on the terminal: how good and how fair it is, and a strip for each stall."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import groupby
from typing import TYPE_CHECKING

from showtime.faces.hall.words import (
    WISHES,
    counted,
    fairness,
    hall_clock,
    level_proof,
    level_value,
    percent,
)
from showtime.faces.plain import ESTIMATE
from showtime.faces.strip import PRINTED, TYPED, Marks, Strip, hour_figures, hour_ticks
from showtime.faces.words import typed
from showtime.fair import Day, Performance
from showtime.fair.hall import HallPlan

if TYPE_CHECKING:
    from rich.console import Console, ConsoleOptions, RenderResult
    from rich.text import Text

_NARROWEST = 40
_SHARE = 16
"""Columns right of the strip: how many performances, and the share."""

# Inks of the 256-colour table that stand out from black and from white paper alike.
_TITLE, _PLAYS, _QUIET, _FAINT = "bold", "bold dark_orange3", "steel_blue", "grey50"


def show_hall(plan: HallPlan) -> None:
    """Print the joint plan, as wide as the terminal is."""
    from rich.console import Console

    console = Console()
    console.print(Programme(plan, console.width, colour=not console.no_color))


@dataclass(frozen=True)
class Programme:
    """What rich prints of a joint plan, at most `width` columns wide; bare without `colour`.

    A console that cannot write UTF-8 gets plain ASCII.
    """

    plan: HallPlan
    width: int
    colour: bool = True

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        from rich.text import Text

        marks = TYPED if options.ascii_only else PRINTED
        for line in _Sheet(self.plan, max(self.width, _NARROWEST), marks).lines():
            if options.ascii_only:
                line.plain = typed(line.plain)
            yield line if self.colour else Text(line.plain, no_wrap=True)


class _Sheet:
    """The parts of the sheet, from its title to its small print."""

    def __init__(self, plan: HallPlan, width: int, marks: Marks) -> None:
        self.plan, self.hall, self.width, self.marks = plan, plan.hall, width, marks
        longest = max((len(name) for name in self.hall.names), default=0)
        self.margin = min(longest + 1, max(12, width // 4))

    def lines(self) -> Iterator[Text]:
        yield from self.title()
        if self.hall.days:
            yield from self.strips()
            yield from self.starts()
        yield from self.small_print()

    def title(self) -> Iterator[Text]:
        hall = self.hall
        rule = f" {self.marks.ornament} ".center(self.width, self.marks.rule)
        opens, closes = (hall_clock(hall, each) for each in (hall.hours.start, hall.hours.end))
        yield _line((rule, _FAINT))
        yield self.centred(hall.fair.upper(), _TITLE)
        yield self.centred(f"{hall.date:%A %d %B %Y}, open from {opens} to {closes}")
        played = sum(map(len, self.plan.performances))
        stalls, all_told = counted(len(hall.names), "stall"), counted(played, "performance")
        yield self.centred(f"{stalls}, {all_told}")
        yield _line((rule, _FAINT))

    def centred(self, text: str, ink: str = "") -> Text:
        line = _line((text, ink))
        line.truncate(self.width, overflow="ellipsis")
        line.pad_left((self.width - line.cell_len) // 2)
        return line

    def strips(self) -> Iterator[Text]:
        room = self.width - self.margin - _SHARE
        strip = Strip.of(replace(self.hall.days[0], hours=self.hall.hours), room)
        yield _line()
        yield _line(" " * self.margin, (hour_figures(strip), _TITLE))
        yield _line(" " * self.margin, (hour_ticks(strip, self.marks), _FAINT))
        rows = zip(self.hall.names, self.hall.days, self.plan.performances, strict=True)
        for number, (name, day, given) in enumerate(rows):
            drawn = _lane(strip, day, given, self.marks)
            inks = [(mark, _QUIET if mark == self.marks.hush else _PLAYS) for mark in drawn]
            alone, share = self.plan.alone[number], percent(self.plan.shares[number])
            told = f"{len(given)} of {alone}".rjust(9) + share.rjust(7)
            yield _line(_cut(name, self.margin - 1) + " ", *inks, (told, _FAINT))

    def starts(self) -> Iterator[Text]:
        """What starts when, by the hour of the wall clock."""
        every = sorted(
            (each.starts, number)
            for number, given in enumerate(self.plan.performances)
            for each in given
        )
        yield _line()
        yield _line(("Who starts when", _TITLE))
        for moment, those in groupby(every, lambda pair: pair[0]):
            clock = hall_clock(self.hall, moment)
            yield from self.hanging(f"{clock}  ", ", ".join(self.hall.names[n] for _, n in those))

    def hanging(self, mark: str, words: str) -> Iterator[Text]:
        from textwrap import wrap

        for number, part in enumerate(wrap(words, self.width - len(mark)) or [""]):
            yield _line((mark if number == 0 else " " * len(mark), _PLAYS), part)

    def small_print(self) -> Iterator[Text]:
        yield _line()
        for level in self.plan.levels:
            proof = level_proof(level)
            words = f"{WISHES[level.name]}: {level_value(level)}, {proof}"
            yield from self.wrapped(words[0].upper() + words[1:], "" if level.proven else _PLAYS)
        yield from self.wrapped(fairness(self.plan))
        yield from self.wrapped(ESTIMATE, _FAINT)

    def wrapped(self, words: str, ink: str = "") -> Iterator[Text]:
        from textwrap import wrap

        yield from (_line((part, ink)) for part in wrap(words, self.width))


def _lane(strip: Strip, day: Day, given: Sequence[Performance], marks: Marks) -> str:
    """Where a stall plays, over the times in which it may not, or is closed."""
    columns = [" "] * strip.columns
    hall = strip.day.hours
    for quiet in day.quiet:
        _mark(columns, strip, quiet.forbidden.start, quiet.forbidden.end, marks.hush)
    _mark(columns, strip, hall.start, day.hours.start, marks.hush)
    _mark(columns, strip, day.hours.end, hall.end, marks.hush)
    for each in given:
        _mark(columns, strip, each.starts, each.ends, marks.sounding)
    starts = [strip.column(each.starts) for each in given]
    for column in starts:
        if 0 <= column < strip.columns:
            columns[column] = marks.start if starts.count(column) == 1 else marks.several
    return "".join(columns)


def _mark(columns: list[str], strip: Strip, begins: datetime, ends: datetime, mark: str) -> None:
    if begins < ends:
        last = -((strip.day.hours.start - ends) // strip.each)
        for column in range(max(strip.column(begins), 0), min(last, strip.columns)):
            columns[column] = mark


def _cut(name: str, width: int) -> str:
    from rich.cells import cell_len, set_cell_size

    return (
        set_cell_size(name, width)
        if cell_len(name) <= width
        else set_cell_size(name, width - 1) + "…"
    )


def _line(*parts: str | tuple[str, str]) -> Text:
    from rich.text import Text

    return Text.assemble(*parts, no_wrap=True, overflow="ellipsis")
