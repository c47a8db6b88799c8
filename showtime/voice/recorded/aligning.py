"""Which stretch of speech is which fragment of the script, where a reader left one out, read one
twice or said something else."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum
from math import inf, log
from statistics import median
from typing import Any

from showtime.voice.recorded.likeness import distances

LEFT_OUT, SPOKEN_BESIDE, READ_AGAIN = 3.0, 3.0, 0.8
"""What it costs to believe that a fragment was left out, that something else was said, and that a
part was read once more right after. A part that is twice as long as expected costs 2.7."""

ALIKE = 0.35
"""Two parts that sound so alike are one fragment read twice; see likeness."""

DOUBTFUL = 0.12
"""A part that is so much less like its fragment than like another may have been misread."""

_LENGTH_SPREAD = 0.3
"""How much the logarithm of a fragment's length varies about what its letters let expect."""

_UNLIKE = 8.0
_SLACK = 8


class Step(Enum):
    """What the reader did."""

    READ = "read"
    LEFT_OUT = "left out"
    BESIDE = "said something else"
    AGAIN = "read again"


@dataclass(frozen=True, slots=True)
class Alignment:
    """For each fragment its part, or None; for each part that has none, why. `rather`: for a
    fragment whose part sounds much more like another one, that other fragment."""

    part_of: tuple[int | None, ...]
    beside: tuple[int, ...]
    read_again: tuple[int, ...]
    rather: Mapping[int, int] = field(default_factory=dict)


def align(
    seconds: Sequence[float],
    expected_seconds: Sequence[float],
    sounds: Sequence[Any],
    expected_sounds: Callable[[int], Any] | None,
) -> Alignment:
    """Lays parts of these lengths and sounds on fragments expected to have those, both in order.

    `sounds` are their features; `expected_sounds` gives those of a fragment in another voice, and
    is None where no voice can say it: then lengths alone must do. Of a fragment that was read
    again, the last reading counts.
    """
    alike = [*_neighbours_alike(sounds), False]
    costs = _Costs(seconds, expected_seconds, sounds, expected_sounds)
    steps = _cheapest(len(seconds), len(expected_seconds), costs, alike)
    part_of: list[int | None] = [None] * len(expected_seconds)
    beside, again = list[int](), list[int]()
    for step, part, fragment in steps:
        if step is Step.READ:
            part_of[fragment] = part
        elif step is Step.BESIDE:
            beside.append(part)
        elif step is Step.AGAIN:
            again.append(part)
    rather = {
        fragment: other
        for step, part, fragment in steps
        if step is Step.READ and (other := costs.rather(part, fragment)) is not None
    }
    return Alignment(tuple(part_of), tuple(beside), tuple(again), rather)


def _neighbours_alike(sounds: Sequence[Any]) -> list[bool]:
    return [
        max(distances(one, [two])[0], distances(two, [one])[0]) < ALIKE
        for one, two in zip(sounds, sounds[1:], strict=False)
    ]


class _Costs:
    """What it costs to believe that a part is a fragment, near the diagonal."""

    def __init__(
        self,
        seconds: Sequence[float],
        expected: Sequence[float],
        sounds: Sequence[Any],
        expected_sounds: Callable[[int], Any] | None,
    ) -> None:
        self._seconds = seconds
        self._expected = expected
        self.slack = abs(len(seconds) - len(expected)) + _SLACK
        pace = [
            s / e for s, e in zip(sorted(seconds), _as_many(expected, len(seconds)), strict=True)
        ]
        self._pace = median(pace) if pace else 1.0
        self._unlike = [
            self._unlikeness(part, sound, expected_sounds) for part, sound in enumerate(sounds)
        ]

    def near(self, part: int) -> range:
        """The fragments that a part may be."""
        return range(max(part - self.slack, 0), min(part + self.slack + 1, len(self._expected)))

    def of(self, part: int, fragment: int) -> float:
        off = log(self._seconds[part] / (self._pace * self._expected[fragment]))
        return (off / _LENGTH_SPREAD) ** 2 / 2 + self._unlike[part].get(fragment, 0.0)

    def rather(self, part: int, fragment: int) -> int | None:
        """A fragment that the part sounds much more like than that one, if any."""
        unlike = self._unlike[part]
        if unlike.get(fragment, 0.0) < _UNLIKE * DOUBTFUL:
            return None
        return min(unlike, key=lambda other: unlike[other])

    def _unlikeness(
        self, part: int, sound: Any, expected_sounds: Callable[[int], Any] | None
    ) -> dict[int, float]:
        """How much less alike each fragment near is than the most alike one."""
        if expected_sounds is None:
            return {}
        near = self.near(part)
        apart = distances(sound, [expected_sounds(fragment) for fragment in near])
        least = min(apart, default=0.0)
        return {f: _UNLIKE * (d - least) for f, d in zip(near, apart, strict=True)}


def _as_many(expected: Sequence[float], number: int) -> list[float]:
    """The expected lengths in order of size, thinned or repeated to that number."""
    ordered = sorted(expected)
    return [ordered[place * len(ordered) // number] for place in range(number)] if ordered else []


def _cheapest(
    parts: int, fragments: int, costs: _Costs, alike: Sequence[bool]
) -> list[tuple[Step, int, int]]:
    """The cheapest account of what the reader did, by dynamic programming."""
    best = [dict[int, tuple[float, Step]]() for _ in range(parts + 1)]
    for part in range(parts + 1):
        before = best[part - 1] if part else {}
        for fragment in range(
            max(part - costs.slack - 1, 0), min(part + costs.slack + 1, fragments) + 1
        ):
            ways = [(0.0, Step.READ)] if not part and not fragment else []
            if part and fragment and fragment - 1 in before:
                price = costs.of(part - 1, fragment - 1)
                ways.append((before[fragment - 1][0] + price, Step.READ))
            if part and fragment in before:
                again = alike[part - 1]
                ways.append(
                    (before[fragment][0] + READ_AGAIN, Step.AGAIN)
                    if again
                    else (before[fragment][0] + SPOKEN_BESIDE, Step.BESIDE)
                )
            if fragment and fragment - 1 in best[part]:
                ways.append((best[part][fragment - 1][0] + LEFT_OUT, Step.LEFT_OUT))
            if ways:
                best[part][fragment] = min(ways, key=lambda way: way[0])
    return _traced(best, parts, fragments)


def _traced(
    best: Sequence[dict[int, tuple[float, Step]]], part: int, fragment: int
) -> list[tuple[Step, int, int]]:
    steps = list[tuple[Step, int, int]]()
    while part or fragment:
        step = best[part].get(fragment, (inf, Step.LEFT_OUT))[1]
        if step in (Step.READ, Step.BESIDE, Step.AGAIN):
            part -= 1
        if step in (Step.READ, Step.LEFT_OUT):
            fragment -= 1
        steps.append((step, part, fragment))
    return steps[::-1]
