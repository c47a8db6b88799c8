"""What a test vector is, and short ways to write one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from showtime.triggers.worn_dial import levels

S = 1_000_000


@dataclass(frozen=True)
class Case:
    """`made` is the decoder and how it is made, `does` what happens to it, in the words of play.py.
    `means` is what must be told, in order; a lone "doubt" stands for any doubt.
    """

    name: str
    made: str
    does: list[str]
    means: Sequence[str]


def in_ms(*lines: str) -> list[str]:
    """Happenings whose instants are written in milliseconds."""
    words = [line.split(maxsplit=2) for line in lines]
    return [" ".join([what, str(round(float(at) * 1000)), *rest]) for what, at, *rest in words]


def changed(changes: Sequence[int]) -> list[str]:
    """The happenings of a dial's contact that changed at these instants."""
    return [f"{'opens' if is_open else 'closes'} {at}" for at, is_open in levels(list(changes))]


def clean(lengths_ms: Sequence[int], at_ms: int = 1000) -> list[str]:
    """A train without bounces: break, make, break ..., in milliseconds."""
    return changed([at * 1000 for at in accumulate(lengths_ms, initial=at_ms)])


def pulses(count: int) -> list[int]:
    """A standard dial's, in milliseconds: 10 a second, breaks of 60 %."""
    return [60, 40] * (count - 1) + [60]
