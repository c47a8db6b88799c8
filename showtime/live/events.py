"""All that can happen on a live day. Past tense, frozen; the journal holds nothing else.

`at` is the instant it happened. A slot names a performance by its start and its piece's name, so
that a journal can be read without the settings it was made with.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from showtime.live.slot import Said as Said
from showtime.live.slot import Slot as Slot
from showtime.wording import Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class DayBegan(Event):
    """The plan was made; `tomorrow` is the first start of the next fair day, if there is one.

    `promised` were told on the day before.
    """

    stall: str
    date: date
    slots: tuple[Slot, ...]
    tomorrow: datetime | None = None
    promised: tuple[datetime, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DayResumed(Event):
    """The program was started again in mid-day; what it was playing was `interrupted`."""

    interrupted: Slot | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DayEnded(Event):
    """The program was ended on purpose."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockDoubted(Event):
    """The machine's clock cannot be right: no time is told until the keeper sets it."""

    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Replanned(Event):
    """The rest of the day was planned anew."""

    slots: tuple[Slot, ...]
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PromiseMoved(Event):
    """A promised time cannot be kept; `to` is the new one, None when there is none."""

    told: datetime
    to: datetime | None
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked(Event):
    """Somebody asked while the last answer was still in the air: that answer serves."""

    trigger: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered(Event):
    """Words were given: `told` is the start they promise. `spoken`: aloud, softly or silent.

    `also`: the same in other languages, said after it.
    """

    trigger: str
    kind: Kind
    text: str
    language: str
    template: int
    told: datetime | None
    spoken: str
    also: tuple[Said, ...] = ()

    @property
    def every(self) -> tuple[Said, ...]:
        """The words in each language, in the order in which they are spoken."""
        return (Said(self.text, self.language), *self.also)

    @property
    def whole(self) -> str:
        """All that was said, for reading."""
        return " ".join(each.text for each in self.every)


@dataclass(frozen=True, slots=True, kw_only=True)
class Started(Event):
    slot: Slot


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished(Event):
    """`overran`: by so many seconds, rounded up, it took longer than its piece should."""

    slot: Slot
    overran: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Missed(Event):
    """A start's time passed without it, for the reason given."""

    slot: Slot
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Held(Event):
    """Nothing moves until it is released."""

    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Released(Event):
    """The keeper lets the figure go on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Delayed(Event):
    """The keeper said that a start will be late by so many minutes, until `until`."""

    slot: Slot
    minutes: int
    until: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class ActionTaken(Event):
    """The keeper did something, in these words; what it changed follows.

    `was` is what the clock showed before, if it was the clock that the keeper set.
    """

    words: str
    was: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CalledOff(Event):
    """The keeper took a start out; nothing else is planned over it either."""

    slot: Slot
    until: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Added(Event):
    """The keeper wants a start there; it is kept like a promise."""

    slot: Slot


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeSet(Event):
    """The keeper set the next performance: it `becomes` that one, and none comes before it."""

    slot: Slot | None
    becomes: Slot


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeRefused(Event):
    """The keeper set a start that `rules` forbid; `offer` is the nearest that is allowed.

    `why` is the reason of the quiet that is kept then, if one of them is that.
    """

    wanted: Slot
    rules: tuple[str, ...]
    why: str
    offer: Slot | None


@dataclass(frozen=True, slots=True, kw_only=True)
class QuietAdded(Event):
    """The hall, or a neighbour, needs quiet from `start` to `end`."""

    start: datetime
    end: datetime
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stopped(Event):
    """What played was stopped before its end, for the reason given; the day goes on."""

    slot: Slot
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedEarly(Event):
    """The day ends at `closes`."""

    closes: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceChosen(Event):
    """Another piece is played in this slot."""

    slot: Slot
    piece: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Undone(Event):
    """The keeper took the last action back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockTrusted(Event):
    """The time can be told: the keeper set it, or the machine knows it.

    What the keeper said is good for the run of the machine named `boot`, which began at `since`.
    """

    by: str
    boot: str = ""
    since: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureFailed(Event):
    """The figure said that it cannot perform, or is not heard any more.

    `lasting`: nothing goes on before it says that all is well.
    """

    why: str
    lasting: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureWell(Event):
    """The figure is there, and nothing is wrong with it any more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured(Event):
    """What the figure measured: its motors' rise above ambient in thousandths of a kelvin (from
    their temperature, or else reckoned from the current), the current, the battery's percentage.
    """

    rise_mk: int | None = None
    milliamperes: int | None = None
    percent: int | None = None


KINDS: tuple[type[Event], ...] = (
    DayBegan,
    DayResumed,
    DayEnded,
    ClockDoubted,
    Replanned,
    PromiseMoved,
    Asked,
    Answered,
    Started,
    Finished,
    Missed,
    Held,
    Released,
    Delayed,
    ActionTaken,
    CalledOff,
    Added,
    TimeSet,
    TimeRefused,
    QuietAdded,
    Stopped,
    ClosedEarly,
    PieceChosen,
    Undone,
    ClockTrusted,
    FigureFailed,
    FigureWell,
    Measured,
)
