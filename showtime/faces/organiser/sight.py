"""The hall as its organiser is shown it: values that page and plain lines put into words alike."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Mark(StrEnum):
    """What a stall is shown as."""

    SOUNDING = "sounding"
    WAITING = "waiting"
    HELD = "held"
    GONE = "gone"


@dataclass(frozen=True, slots=True)
class Meter:
    """A cap, and how much of it is used, in words and in percent."""

    rule: str
    shown: str
    percent: int

    @property
    def over(self) -> bool:
        return self.percent > 100


@dataclass(frozen=True, slots=True)
class Row:
    """A stall in the list. `word` is its mark in words, `wrong` what is to be looked after."""

    number: int
    name: str
    mark: Mark
    word: str
    doing: str
    next: str = ""
    follows: str = ""
    wrong: tuple[str, ...] = ()
    meters: tuple[Meter, ...] = ()

    @property
    def said(self) -> str:
        """All of it but the caps, in one line."""
        return ". ".join(filter(None, (self.word, self.doing, self.next, self.follows)))

    @property
    def fullest(self) -> tuple[Meter, ...]:
        """The cap that is used up most, if there is one."""
        return (max(self.meters, key=lambda meter: meter.percent),) if self.meters else ()

    @property
    def others(self) -> tuple[Meter, ...]:
        """All but that one."""
        return tuple(meter for meter in self.meters if meter not in self.fullest)


@dataclass(frozen=True, slots=True)
class Hush:
    """A quiet in the hall, and which stalls have confirmed it; once it was lifted, or is over,
    which know that. Of those that do not, `missing` are on the line, and `away` are not."""

    call: str
    why: str
    until: str
    left: str
    of: int
    missing: tuple[str, ...] = ()
    away: tuple[str, ...] = ()
    lifted: bool = False

    @property
    def has_it(self) -> int:
        return self.of - len(self.missing) - len(self.away)

    @property
    def named(self) -> tuple[str, ...]:
        """Who does not know, in a line or two; nobody is named where that would be everybody."""
        if not self.has_it:
            return ()
        told = ("not yet", self.missing), ("not on the line", self.away)
        return tuple(f"{how}: {', '.join(who)}" for how, who in told if who)

    @property
    def all_have_it(self) -> bool:
        return self.has_it == self.of

    @property
    def percent(self) -> int:
        return 100 * self.has_it // self.of if self.of else 100

    @property
    def confirmed(self) -> str:
        """In a line: how many stalls know."""
        what = "know that it is over" if self.lifted else "have it"
        if self.all_have_it:
            return f"All {self.of} stalls {what}" if self.of != 1 else f"The one stall {what}"
        return f"{self.has_it} of {self.of} stalls {what}"


@dataclass(frozen=True, slots=True)
class Spot:
    """A stall on the drawing, in units of its half width."""

    number: int
    name: str
    mark: Mark
    word: str
    x: float
    y: float


Tie = tuple[float, float, float, float]


_PIXELS = 17
"""For a half width at least: two digits in a stall are legible at arm's length then."""


@dataclass(frozen=True, slots=True)
class Floor:
    """The drawing, `across` and `down` in half widths of a stall; `ties` join stalls of which only
    so many may sound at once."""

    spots: tuple[Spot, ...]
    ties: tuple[Tie, ...]
    across: float
    down: float

    @property
    def width(self) -> int:
        """In pixels, at least."""
        return round(self.across * _PIXELS)

    @property
    def is_wide(self) -> bool:
        """True when it may fill the width that there is, and does not become too tall by it."""
        return self.across >= self.down


@dataclass(frozen=True, slots=True)
class Sight:
    """All that is shown. `troubles` are lines that want doing something, the worst first; `absent`
    the stalls that are missed on the line during the fair's hours."""

    fair: str
    clock: str
    headline: str
    sounding: tuple[str, ...]
    rows: tuple[Row, ...]
    floor: Floor
    hushes: tuple[Hush, ...] = ()
    troubles: tuple[str, ...] = ()
    absent: tuple[str, ...] = ()
    meters: tuple[Meter, ...] = ()
