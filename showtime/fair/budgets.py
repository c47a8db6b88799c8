"""The caps there are. A new kind is one more class here that says these things of itself."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from math import log10
from typing import ClassVar

from showtime.fair.budget import Budget, Drain, Leak, Never, Spend, Window
from showtime.fair.piece import Piece
from showtime.fair.span import Where
from showtime.fair.warmth import Warmth

__all__ = [
    "AtMost",
    "Battery",
    "Budget",
    "Drain",
    "Heat",
    "Leak",
    "Neighbour",
    "Never",
    "Noise",
    "Performances",
    "Sounding",
    "Spend",
    "Window",
]


@dataclass(frozen=True, slots=True)
class _Cap:
    """What every budget here shares: where it is written, and quiet defaults."""

    because: str = field(default="", kw_only=True)
    where: Where | None = field(default=None, kw_only=True, compare=False)

    @property
    def initial(self) -> float:
        return 0.0

    @property
    def resting(self) -> float:
        return 0.0

    def _why(self, limit: str) -> str:
        return f"{self.because}: {limit}" if self.because else limit


def _draining(in_any: timedelta | None) -> Drain:
    return Never() if in_any is None else Window(in_any)


def _minutes(length: timedelta) -> str:
    return f"{length.total_seconds() / 60:g} min"


def _stretch(in_any: timedelta | None) -> str:
    return "a day" if in_any is None else f"any {_minutes(in_any)}"


def _performances(count: float) -> str:
    return "1 performance" if count == 1 else f"{count:g} performances"


def _times(count: float) -> str:
    return "once" if count == 1 else f"{count:g} times"


@dataclass(frozen=True, slots=True)
class Performances(_Cap):
    """At most `most` performances start in any `in_any`; None is the whole day."""

    rule: ClassVar[str] = "performances"
    most: int
    in_any: timedelta | None = None

    @property
    def why(self) -> str:
        return self._why(f"at most {_performances(self.most)} in {_stretch(self.in_any)}")

    @property
    def drain(self) -> Drain:
        return _draining(self.in_any)

    @property
    def limit(self) -> float:
        return float(self.most)

    def spend(self, piece: Piece) -> Spend:
        return Spend(at_start=1.0)

    def shown(self, level: float) -> str:
        return _performances(level)


@dataclass(frozen=True, slots=True)
class AtMost(_Cap):
    """No more than `most` performances of one piece a day."""

    rule: ClassVar[str] = "at_most"
    piece: str
    most: int

    @property
    def why(self) -> str:
        return self._why(f"{self.piece} at most {_times(self.most)} a day")

    @property
    def drain(self) -> Drain:
        return Never()

    @property
    def limit(self) -> float:
        return float(self.most)

    def spend(self, piece: Piece) -> Spend:
        return Spend(at_start=1.0 if piece.name == self.piece else 0.0)

    def shown(self, level: float) -> str:
        return f"{self.piece} {_times(level)}"


@dataclass(frozen=True, slots=True)
class Sounding(_Cap):
    """Sound for at most `most` in any `in_any`; None is the whole day. Level: seconds."""

    rule: ClassVar[str] = "sounding"
    most: timedelta
    in_any: timedelta | None = None

    @property
    def why(self) -> str:
        return self._why(f"at most {_minutes(self.most)} of sound in {_stretch(self.in_any)}")

    @property
    def drain(self) -> Drain:
        return _draining(self.in_any)

    @property
    def limit(self) -> float:
        return self.most.total_seconds()

    def spend(self, piece: Piece) -> Spend:
        return Spend(per_second=1.0)

    def shown(self, level: float) -> str:
        return f"{level / 60:.1f} min of sound"


@dataclass(frozen=True, slots=True)
class Neighbour:
    """A stall that hears the figure, `distance_m` metres away."""

    name: str
    distance_m: float

    def level_dba(self, level_at_1_m_dba: float) -> float:
        """The level there of a source that makes `level_at_1_m_dba` at 1 m, in a free field.

        Divergence of a point source, 20 lg(d / 1 m): ISO 9613-2:1996, 7.1. An estimate: a hall
        adds reflections.
        """
        return level_at_1_m_dba - 20 * log10(self.distance_m)


@dataclass(frozen=True, slots=True)
class Noise(_Cap):
    """At a neighbour, the energy-mean level over `over` stays at or below `limit_dba`.

    Energy mean as in ISO 1996-1: 10 lg(1/W sum of sounding_i 10^(L_i/10)). The level of this
    budget is the sum, in seconds of 0 dB; it drains with a window of `over`, or, when
    `whole_day` is set, not at all (`over` is then the length of the open hours).
    """

    rule: ClassVar[str] = "level"
    limit_dba: float
    at: Neighbour
    over: timedelta
    whole_day: bool = False

    @property
    def why(self) -> str:
        stretch = "the day" if self.whole_day else f"any {_minutes(self.over)}"
        return self._why(f"at most {self.limit_dba:g} dBA at {self.at.name} over {stretch}")

    @property
    def drain(self) -> Drain:
        return Never() if self.whole_day else Window(self.over)

    @property
    def limit(self) -> float:
        return float(self.over.total_seconds() * 10 ** (self.limit_dba / 10))

    def spend(self, piece: Piece) -> Spend:
        if piece.level_dba is None:
            return Spend()
        return Spend(per_second=10 ** (self.at.level_dba(piece.level_dba) / 10))

    def shown(self, level: float) -> str:
        if level <= 0:
            return "no sound"
        return f"{10 * log10(level / self.over.total_seconds()):.1f} dBA"


@dataclass(frozen=True, slots=True)
class Heat(_Cap):
    """The motors' temperature rise above ambient, one first-order lag. Level: kelvin.

    d(rise)/dt = (target - rise) / time_constant; target is the piece's heat while it sounds,
    else `hold_k`: motors kept powered at rest, so that they do not lose their place, stay warm
    (common practice). The day starts at `hold_k`; once the rise was measured (`known`), it goes on
    from there, whatever the model says of the time before.
    """

    rule: ClassVar[str] = "heat"
    time_constant: timedelta
    ambient_c: float
    hold_k: float
    limit_c: float
    known: Warmth | None = field(default=None, kw_only=True)

    @property
    def why(self) -> str:
        return self._why(f"the motors stay at or below {self.limit_c:g} °C")

    @property
    def drain(self) -> Drain:
        return Leak(self.time_constant, self.known.at if self.known else None)

    @property
    def limit(self) -> float:
        return self.limit_c - self.ambient_c

    @property
    def initial(self) -> float:
        return self.known.rise_k if self.known else self.hold_k

    @property
    def resting(self) -> float:
        return self.hold_k / self.time_constant.total_seconds()

    def spend(self, piece: Piece) -> Spend:
        return Spend(per_second=piece.heat_k / self.time_constant.total_seconds())

    def shown(self, level: float) -> str:
        return f"{self.ambient_c + level:.1f} °C"


@dataclass(frozen=True, slots=True)
class Battery(_Cap):
    """The day's charge fits the battery less what is kept back. Level: ampere hours.

    `idle_a` flows all day, beneath each piece's own current.
    """

    rule: ClassVar[str] = "battery"
    capacity_ah: float
    keep: float
    idle_a: float

    @property
    def why(self) -> str:
        kept = f", {self.keep:.0%} kept back" if self.keep else ""
        return self._why(f"the day's charge fits the {self.capacity_ah:g} Ah battery{kept}")

    @property
    def drain(self) -> Drain:
        return Never()

    @property
    def limit(self) -> float:
        return self.capacity_ah * (1 - self.keep)

    @property
    def resting(self) -> float:
        return self.idle_a / 3600

    def spend(self, piece: Piece) -> Spend:
        return Spend(per_second=(piece.current_a + self.idle_a) / 3600)

    def shown(self, level: float) -> str:
        return f"{level:.2f} Ah"
