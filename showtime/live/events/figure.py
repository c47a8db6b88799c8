"""What the figure tells of itself."""

from __future__ import annotations

from dataclasses import dataclass

from showtime.live.events.event import Event


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
