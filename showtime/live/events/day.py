"""What happens of itself on a day, and what is said and played."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from showtime.live.events.event import Event
from showtime.live.slot import Said, Slot
from showtime.wording import Kind


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
class Stopped(Event):
    """What played was stopped before its end, for the reason given; the day goes on."""

    slot: Slot
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockTrusted(Event):
    """The time can be told: the keeper set it, or the machine knows it.

    What the keeper said is good for the run of the machine named `boot`, which began at `since`.
    """

    by: str
    boot: str = ""
    since: datetime | None = None
