"""What stands in the way of one more performance beside all others in the hall, rule by rule."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from showtime.fair import Performance, Span, Where
from showtime.fair.hall import HallDay, HallNoise
from showtime.planning.hall.naming import listed, metres, shortened
from showtime.planning.hall.overfull import bounds, members
from showtime.planning.hall.stretches import stretches
from showtime.planning.hall.too_loud import TooLoud, too_loud
from showtime.planning.verifier import Broken, broken
from showtime.planning.wallclock import clock

Lists = tuple[tuple[Performance, ...], ...]

_NAMED = 4
"""No more stalls than these are told of as playing; the rest are counted."""


@dataclass(frozen=True, slots=True)
class HallReason:
    """One rule that stands in the way of `piece`, beside the rest of the joint plan.

    The rules are those of the hall's judge, and "wishes.performances": the keeper wished for no
    more than there are. `others` are the stalls that sound then, the nearest first ("together"), or
    that fill the limit, the loudest first ("noise").
    """

    rule: str
    why: str
    where: Where | None
    piece: str
    others: tuple[str, ...] = ()


class Beside:
    """A joint plan into which one more performance of one of its stalls may fit."""

    def __init__(self, hall: HallDay, lists: Sequence[Sequence[Performance]]) -> None:
        self.hall = hall
        self.lists: Lists = tuple(tuple(given) for given in lists)
        self._already: dict[int, Counter[Broken]] = {}

    def with_list(self, stall: int, given: Sequence[Performance]) -> Beside:
        """The same but for the performances of one stall."""
        lists = (*self.lists[:stall], tuple(given), *self.lists[stall + 1 :])
        return Beside(self.hall, lists)

    def with_one(self, stall: int, more: Performance) -> Beside:
        return self.with_list(stall, [*self.lists[stall], more])

    def without(self, stall: int, gone: Performance) -> Beside:
        return self.with_list(stall, [one for one in self.lists[stall] if one != gone])

    @property
    def count(self) -> int:
        """How many performances there are."""
        return sum(map(len, self.lists))

    def reasons(self, stall: int, wanted: Performance) -> tuple[HallReason, ...]:
        """All that stands in the way; empty when it may be played."""
        return tuple(dict.fromkeys(self._reasons(stall, wanted)))

    def fits(self, stall: int, wanted: Performance) -> bool:
        return next(self._reasons(stall, wanted), None) is None

    def _reasons(self, stall: int, wanted: Performance) -> Iterator[HallReason]:
        """What is quickly seen comes first."""
        yield from self.too_many(stall, wanted)
        yield from self._own(stall, wanted)
        yield from self._noise(stall, wanted)

    def _own(self, stall: int, wanted: Performance) -> Iterator[HallReason]:
        day, given, name = self.hall.days[stall], self.lists[stall], wanted.piece.name
        if stall not in self._already:
            self._already[stall] = Counter(broken(day, given))
        for each in Counter(broken(day, [*given, wanted])) - self._already[stall]:
            yield HallReason(each.rule, each.why, each.where, name)
        most = day.wishes.most
        if most is not None and len(given) >= most:
            why = f"{len(given)} performances are planned; no more than {most} are wished for"
            yield HallReason("wishes.performances", why, day.wishes.most_where, name)

    def too_many(self, stall: int, wanted: Performance) -> Iterator[HallReason]:
        """Each rule by which too many would sound at once."""
        there = self._within(wanted.span, but=stall)
        for bound in bounds(self.hall):
            others = 0
            for stretch in stretches(there):
                if stretch.span.meets(wanted.span):
                    others |= bound.too_many(stall, stretch.sounding) or 0
            if others:
                numbers = sorted(members(others), key=lambda one: (self._away_m(one, stall), one))
                told = listed(
                    shortened([self._plays(one, there[one], stall) for one in numbers], _NAMED)
                )
                names = tuple(self.hall.names[one] for one in numbers)
                together = bound.together
                why = f"{told}; {together.why}"
                yield HallReason("together", why, together.where, wanted.piece.name, names)

    def _plays(self, other: int, given: Sequence[Performance], stall: int) -> str:
        """`The Lantern Cart, 3 m away, plays Frost Bells from 14:28 to 14:33`."""
        day = self.hall.days[other]
        what = listed(
            [
                f"{one.piece.name} from {clock(day, one.starts)} to {clock(day, one.ends)}"
                for one in sorted(given, key=lambda one: one.starts)
            ]
        )
        away = metres(self._away_m(other, stall))
        return f"{self.hall.names[other]}, {away} away, plays {what}"

    def _away_m(self, one: int, other: int) -> float:
        return self.hall.places[one].distance_m(self.hall.places[other])

    def _noise(self, stall: int, wanted: Performance) -> Iterator[HallReason]:
        for each in self.too_loud(stall, wanted):
            others = each.to_blame(but=self.hall.names[stall])
            why, where = each.why, each.noise.where
            yield HallReason("noise", why, where, wanted.piece.name, others)

    def too_loud(self, stall: int, wanted: Performance) -> Iterator[TooLoud]:
        """Where it becomes too loud with `wanted`, or louder than it is."""
        if wanted.piece.level_dba is None:
            return
        for noise in self.hall.noise:
            hall = replace(self.hall, noise=(noise,))
            before = self._heard_with(wanted, noise)
            after = [list(given) for given in before]
            after[stall].append(wanted)
            already = set(too_loud(hall, before))
            yield from (each for each in too_loud(hall, after) if each not in already)

    def _heard_with(self, wanted: Performance, noise: HallNoise) -> Lists:
        """What can count in one stretch of time with `wanted`."""
        return self.lists if noise.whole_day else self._within(wanted.span.widened(noise.over))

    def _within(self, span: Span, but: int | None = None) -> Lists:
        return tuple(
            tuple(
                one
                for one in given
                if number != but and one.starts < span.end and one.ends > span.start
            )
            for number, given in enumerate(self.lists)
        )
