"""Where the organiser's commands ask: a fair's settings, opened, with the joint plan of a day."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from difflib import get_close_matches
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from showtime.fair import Piece, ShowtimeError
from showtime.fair.hall import Fair, HallDay, HallPlan
from showtime.live.asked import QuestionError, piece_of, time_of
from showtime.live.clock import JudgedClock
from showtime.live.clock.deskclock import DeskClock
from showtime.live.hallfiles import Brought, brought, parts_of
from showtime.live.hallshelf import put, taken
from showtime.settings import fair_path, find_config, load_fair

if TYPE_CHECKING:
    from showtime.planning.hall import HallBroken, HallClash, HallWhyNot


_A_LOOK = 1.0
"""Seconds of planning that show whether a day can be planned at all."""


class NoHallPlanError(ShowtimeError):
    """A fair's day that cannot be planned: rules clash. An answer, not a mistake."""

    def __init__(self, hall: HallDay, clash: HallClash) -> None:
        super().__init__("no joint plan")
        self.hall = hall
        self.clash = clash


@dataclass(frozen=True, slots=True)
class Question:
    """Whether a stall could perform then; `piece` None: any of its pieces."""

    stall: str
    at: datetime
    piece: Piece | None


@dataclass(frozen=True)
class HallDesk:
    """A fair's settings with everything that its organiser may ask of them.

    `stall`: the one whose settings were given in place of the fair's; empty when none.
    """

    fair: Fair
    clock: JudgedClock
    stall: str = ""

    @classmethod
    def of(cls, config: Path | None) -> HallDesk:
        """The desk of a fair's file, or of the organiser's of a stall. SettingsError: broken."""
        given = find_config(config, Path(), fair=True)
        path = fair_path(given)
        fair = load_fair(path)
        theirs = next((s.name for s in fair.stands if _is(path.parent / s.file, given)), "")
        return cls(fair, DeskClock(fair.stands[0].stall), theirs)

    def day(self, wanted: str) -> HallDay:
        """The day written as YYYY-MM-DD; else today, if it is a fair day; else the first."""
        dates = [each for each, _ in self.fair.hours]
        if not wanted:
            return self._hall(self._today() or dates[0])
        try:
            asked = date.fromisoformat(wanted)
        except ValueError:
            raise QuestionError(f"--day {wanted}: not a date; write it like {dates[0]}") from None
        if asked not in dates:
            days = ", ".join(map(str, dates))
            raise QuestionError(f"--day {wanted}: no fair day; the fair days are {days}")
        return self._hall(asked)

    def _today(self) -> date | None:
        now = self.clock.now()
        open_now = next((each for each, hours in self.fair.hours if hours.holds(now)), None)
        local = now.astimezone(self.fair.timezone).date()
        return open_now or (local if local in dict(self.fair.hours) else None)

    def _hall(self, wanted: date) -> HallDay:
        hall = self.fair.hall(wanted)
        assert hall is not None  # it is one of the fair's own dates
        return hall

    def plan(
        self,
        hall: HallDay,
        limit: float,
        *,
        fresh: bool = False,
        told: Callable[[str], None] = lambda line: None,
    ) -> HallPlan:
        """The day's joint plan; NoHallPlanError when rules clash. `told` hears how it goes.

        `fresh`: planned now; else the one that was made last for just this hall, if there is one.
        """
        from showtime.planning.hall import plan_hall

        kept = None if fresh else self.kept(hall)
        if kept is not None:
            return kept
        monotonic, workers = self.clock.monotonic, os.cpu_count() or 1
        made = plan_hall(hall, limit=limit, monotonic=monotonic, workers=workers, told=told)
        if not isinstance(made, HallPlan):
            raise NoHallPlanError(hall, made)
        put(made, self._shelf)
        return made

    def kept(self, hall: HallDay) -> HallPlan | None:
        """The joint plan that was made last for just this hall, if there is one."""
        return taken(hall, self._shelf)

    def could_be_planned(self, hall: HallDay) -> None:
        """NoHallPlanError when what must be cannot, at a stall or between stalls."""
        from showtime.planning.hall import plan_hall

        made = plan_hall(hall, limit=_A_LOOK, monotonic=self.clock.monotonic)
        if not isinstance(made, HallPlan):
            raise NoHallPlanError(hall, made)

    def question(self, hall: HallDay, stall: str, at: str, piece: str) -> Question:
        """What is asked about, as typed. QuestionError: there is no such stall, time or piece."""
        name = self.stall_named(hall, stall)
        day = hall.days[hall.number(name)]
        return Question(name, time_of(day, at), piece_of(day, piece, "--piece "))

    def why_not(self, plan: HallPlan, asked: Question, limit: float) -> HallWhyNot:
        """Why that stall does not perform then, beside the rest of the joint plan."""
        from showtime.planning.hall import why_in_hall

        when, monotonic = (asked.stall, asked.at, asked.piece), self.clock.monotonic
        return why_in_hall(plan.hall, plan, *when, limit=limit, monotonic=monotonic)

    def stall_named(self, hall: HallDay, wanted: str) -> str:
        """The stall of that name in any spelling of capitals; that of the settings, unnamed."""
        wanted = wanted or self.stall
        if not wanted:
            raise QuestionError(f"--stall is missing; there are {', '.join(hall.names)}")
        found = [name for name in hall.names if name.casefold() == wanted.casefold()]
        if found:
            return wanted if wanted in found else found[0]
        near = get_close_matches(wanted, hall.names, 1)
        hint = f"did you mean {near[0]}?" if near else f"there are {', '.join(hall.names)}"
        raise QuestionError(f"--stall {wanted}: no such stall on {hall.date}; {hint}")

    def brought(self, files: Sequence[Path], day: str) -> Brought:
        """The plans in these files, and in all files of these folders; they are of one day."""
        parts = [part for file in _opened(files) for part in parts_of(file)]
        dated = {part.day: part.place for part in reversed(parts) if part.day}
        if len(dated) > 1 or (day and dated and day not in dated):
            days = "; ".join(f"{place}: of {each}" for each, place in sorted(dated.items()))
            asked = f"--day is {day}" if day else "plans are judged a day at a time"
            raise QuestionError(f"{days}; {asked}")
        return brought(self.fair, self.day(day or next(iter(dated), "")), parts)

    def broken(self, judged: Brought) -> tuple[HallBroken, ...]:
        """All that those break who brought a plan, alone and together."""
        from showtime.planning.hall import broken_in_hall

        found = broken_in_hall(judged.hall, judged.performances)
        between = ("together", "noise")
        return tuple(b for b in found if b.stall in judged.stalls or b.rule in between)

    def now(self) -> datetime:
        return self.clock.now()

    @cached_property
    def _shelf(self) -> Path:
        from platformdirs import user_cache_path

        return user_cache_path("showtime") / "plans"


def _opened(files: Sequence[Path]) -> Iterator[Path]:
    for file in files:
        inside = sorted(file.glob("*.json")) if file.is_dir() else [file]
        if not inside:
            raise QuestionError(f"{file}:1:1: there is no plan (*.json) in this folder")
        yield from inside


def _is(one: Path, other: Path) -> bool:
    return one.is_file() and one.resolve() == other.resolve()
