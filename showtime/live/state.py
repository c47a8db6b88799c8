"""What is known of the running day at one moment: the fold of its events."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from enum import StrEnum

from showtime.fair import Day, QuietInterval, Span
from showtime.live.events import (
    Answered,
    DayBegan,
    DayEnded,
    DayResumed,
    Event,
    FigureFailed,
    Finished,
    Held,
    Measured,
    Released,
    Slot,
    Started,
    Stopped,
    TimeRefused,
)
from showtime.live.hallbounds import HallBounds, laid_upon
from showtime.live.warm import warmed

CROWD = 6
"""So many questions, lately, make a crowd."""

REMEMBERED = 100
"""So many of the last answers are not said again (where the phrase bank allows it)."""

CALL, OF_ITSELF = "call", "of itself"
"""The triggers of what the figure says unasked: a call, and an apology."""

BOARD = "board"
"""The trigger of a start that visitors are shown. Nobody asked, and nothing is said."""


class Stage(StrEnum):
    """Where the day stands."""

    UNBEGUN = "unbegun"
    WAITING = "waiting"
    PLAYING = "playing"
    HELD = "held"
    ENDED = "ended"


TRANSITIONS: dict[tuple[Stage, type[Event]], Stage] = {
    (Stage.UNBEGUN, DayBegan): Stage.WAITING,
    (Stage.WAITING, Started): Stage.PLAYING,
    (Stage.PLAYING, Finished): Stage.WAITING,
    (Stage.PLAYING, Stopped): Stage.WAITING,
    (Stage.WAITING, Held): Stage.HELD,
    (Stage.PLAYING, Held): Stage.HELD,
    (Stage.HELD, Released): Stage.WAITING,
    (Stage.WAITING, DayEnded): Stage.ENDED,
    (Stage.PLAYING, DayEnded): Stage.ENDED,
    (Stage.HELD, DayEnded): Stage.ENDED,
    **{(stage, DayResumed): Stage.HELD for stage in Stage if stage is not Stage.UNBEGUN},
}
"""Every event that changes the stage; any other leaves it as it is. A day that was resumed is
held: after a restart nothing moves until the keeper says so."""


class Outcome(StrEnum):
    """What became of a promise."""

    OPEN = "open"
    KEPT = "kept"
    CHANGED = "changed"
    BROKEN = "broken"


@dataclass(frozen=True, slots=True)
class Promise:
    """A start that was told: when first and last, how often, to which triggers, what became of it.

    `moved_to` is the start that was given in its stead (`CHANGED`); None with `CHANGED` means
    that it was called off. `apologised` counts the answers that said so.
    """

    told: datetime
    first_said: datetime
    last_said: datetime
    times: int
    triggers: tuple[str, ...]
    outcome: Outcome = Outcome.OPEN
    moved_to: datetime | None = None
    why: str = ""
    apologised: int = 0

    @property
    def is_unsaid(self) -> bool:
        """True when it was moved and nobody has been told so yet."""
        return self.outcome is Outcome.CHANGED and not self.apologised


@dataclass(frozen=True, slots=True)
class Played:
    """A performance that began at `started`; `ended` is None while it plays.

    By `overran` it took longer than its piece should.
    """

    slot: Slot
    started: datetime
    ended: datetime | None = None
    interrupted: bool = False
    overran: timedelta = timedelta(0)


@dataclass(frozen=True)
class DayState:
    """The state that faces show and answers are given from. Made by `fold`, nothing else.

    `not_before`: no start is planned before this, since the keeper said to be late until then.
    `wanted` are starts that the keeper added, `barred` the times of those called off: nothing is
    planned over them. `asks` are the moments of the last questions, up to CROWD of them. `undo` is
    the state before the last action, which was taken at `acted_at`;
    `set_by` is by how much that action set the clock. `failing` is what is wrong with the figure,
    `measured` what it last measured that matters. `hall` is what the rest of the hall has laid
    upon the day; it stands in `day` already.
    """

    day: Day
    keep_within: timedelta
    stage: Stage = Stage.UNBEGUN
    upcoming: tuple[Slot, ...] = ()
    played: tuple[Played, ...] = ()
    missed: tuple[Slot, ...] = ()
    promises: tuple[Promise, ...] = ()
    tomorrow: datetime | None = None
    not_before: datetime | None = None
    wanted: tuple[Slot, ...] = ()
    barred: tuple[Span, ...] = ()
    hold: str = ""
    doubt: str = ""
    asked: int = 0
    asks: tuple[datetime, ...] = ()
    said: tuple[str, ...] = ()
    last_answer: Answered | None = None
    last_at: datetime | None = None
    undo: DayState | None = None
    acted_at: datetime | None = None
    action: str = ""
    set_by: timedelta = timedelta(0)
    refused: TimeRefused | None = None
    failing: FigureFailed | None = None
    measured: Measured | None = None
    hall: HallBounds = field(default_factory=HallBounds)

    @property
    def to_plan(self) -> Day:
        """The day as planning has to see it: what was called off is a time to keep clear of, and
        the motors are as warm as was measured."""
        clear = tuple(QuietInterval("called off by the keeper", span) for span in self.barred)
        day = replace(self.day, quiet=(*self.day.quiet, *clear)) if clear else self.day
        return warmed(day, self.measured, self.played)

    @property
    def by_its_own(self) -> Day:
        """The same without the times that others take; the organiser's word stands in it."""
        return laid_upon(self.to_plan, self.hall, replace(self.hall, others=()))

    @property
    def trouble(self) -> str:
        """What is wrong with the figure, for the keeper; empty when all is well."""
        return self.failing.why if self.failing else ""

    @property
    def playing(self) -> Slot | None:
        """What plays now."""
        if self.played and self.played[-1].ended is None:
            return self.played[-1].slot
        return None

    @property
    def next(self) -> Slot | None:
        """The first start still to come."""
        return self.upcoming[0] if self.upcoming else None

    def promised(self) -> tuple[datetime, ...]:
        """The told starts that are still to be kept."""
        return tuple(p.told for p in self.promises if p.outcome is Outcome.OPEN)
