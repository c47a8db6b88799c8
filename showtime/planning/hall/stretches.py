"""A joint plan as stretches of time, cut wherever a stall begins or ceases to sound."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime

from showtime.fair import Performance, Span


@dataclass(frozen=True, slots=True)
class Turn:
    """A stall begins to sound, or ceases. A stall that sounds already does not begin."""

    at: datetime
    stall: int
    begins: bool


@dataclass(frozen=True, slots=True)
class Stretch:
    """A time in which these stalls sound, as a set of bits, and no others."""

    span: Span
    sounding: int


def turns(performances: Sequence[Sequence[Performance]]) -> Iterator[Turn]:
    """In order of time; at one moment those who cease come first: spans are half-open."""
    marks = sorted(
        (at, change, stall)
        for stall, given in enumerate(performances)
        for each in given
        for at, change in ((each.starts, 1), (each.ends, -1))
    )
    playing = [0] * len(performances)
    for at, change, stall in marks:
        playing[stall] += change
        if playing[stall] == (1 if change > 0 else 0):
            yield Turn(at, stall, change > 0)


def stretches(performances: Sequence[Sequence[Performance]]) -> Iterator[Stretch]:
    """The times in which something sounds."""
    sounding, since = 0, None
    for turn in turns(performances):
        if sounding and since is not None and since < turn.at:
            yield Stretch(Span(since, turn.at), sounding)
        bit = 1 << turn.stall
        sounding = sounding | bit if turn.begins else sounding & ~bit
        since = turn.at
