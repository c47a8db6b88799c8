"""What a figure that can talk says of itself, and what that means for the day. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class Began:
    """The figure has begun to perform `piece`."""

    piece: str


@dataclass(frozen=True, slots=True)
class Ended:
    """The figure has performed `piece` to its end."""

    piece: str


@dataclass(frozen=True, slots=True)
class Failed:
    """The figure does not perform, for this reason in the keeper's words.

    `lasting`: nobody may let it go on before it says that all is well. `begun`: what it was told
    to play last had begun, as far as is known. `excuse` is what visitors are told.
    """

    why: str
    lasting: bool = True
    begun: bool = True
    excuse: str = "something is wrong with me"


@dataclass(frozen=True, slots=True)
class Well:
    """The figure is there, and says that nothing is wrong with it."""


@dataclass(frozen=True, slots=True)
class Readings:
    """What the figure measures: its warmest motor (Celsius), the current that it draws, what is
    left in its battery (percent). None: it does not measure that."""

    celsius: float | None = None
    amperes: float | None = None
    battery: float | None = None


Report: TypeAlias = Began | Ended | Failed | Well | Readings
