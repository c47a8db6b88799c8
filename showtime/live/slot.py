"""Values that events are made of: they stand in the journal within them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, order=True)
class Slot:
    """A planned start and the name of the piece."""

    starts: datetime
    piece: str


@dataclass(frozen=True, slots=True)
class Said:
    """The same told in another language."""

    text: str
    language: str
