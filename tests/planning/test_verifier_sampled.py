"""The event walk against a sampler that looks at every half-minute of a random day.

All times of these days are whole half-minutes, so the sampler misses nothing: it adds up slots,
window by window, with none of the verifier's arithmetic.
"""

import math
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from random import Random
from zoneinfo import ZoneInfo

from showtime.fair import Day, Performance, Piece, QuietInterval, Signboard, Span
from showtime.fair.budgets import (
    AtMost,
    Battery,
    Budget,
    Heat,
    Leak,
    Neighbour,
    Noise,
    Performances,
    Sounding,
    Window,
)
from showtime.fair.wishes import Fixed, Wishes
from showtime.planning.headroom import headroom
from showtime.planning.verifier import broken

SLOT = timedelta(seconds=30)
LONDON = ZoneInfo("Europe/London")
OPENS = datetime(2027, 2, 13, 10, tzinfo=LONDON)
LEAD = 150
"""Slots that are looked at before opening and after closing."""


def random_day(dice: Random) -> Day:
    pieces = tuple(
        Piece(
            name,
            dice.randint(1, 24) * SLOT,
            reset=dice.randint(0, 12) * SLOT,
            level_dba=dice.choice([None, 62, 70, 74.5, 81]),
            heat_k=dice.choice([10, 30, 55]),
            current_a=dice.choice([0, 1.5, 3]),
        )
        for name in ["Frost Bells", "The Pear Dance", "Moth Waltz"][: dice.randint(1, 3)]
    )
    length = dice.randint(60, 400)
    cart = Neighbour("The Lantern Cart", dice.choice([1, 2, 3.5]))
    caps: list[Budget] = [
        Performances(dice.randint(1, 4), dice.randint(10, 140) * SLOT),
        Performances(dice.randint(1, 8)),
        Sounding(dice.randint(2, 60) * SLOT, dice.randint(20, 140) * SLOT),
        Sounding(dice.randint(20, 90) * SLOT),
        Noise(dice.choice([50, 58, 64.5]), cart, dice.randint(10, 140) * SLOT),
        Noise(dice.choice([50, 58]), cart, length * SLOT, whole_day=True),
        Heat(dice.randint(10, 60) * SLOT, 21, hold_k=8, limit_c=dice.choice([30, 40, 50])),
        Battery(dice.choice([1, 2, 4]), keep=0.2, idle_a=0.4),
        AtMost("Frost Bells", dice.randint(1, 5)),
    ]
    quiet = []
    for number in range(dice.randint(0, 3)):
        begins = OPENS + dice.randint(-10, length) * SLOT
        span = Span(begins, begins + dice.randint(1, 60) * SLOT)
        quiet.append(QuietInterval(f"talk {number}", span, dice.randint(0, 6) * SLOT))
    fixed = [Fixed(OPENS + dice.randrange(length) * SLOT, dice.choice([None, pieces[0].name]))]
    return Day(
        signboard=Signboard("Osierholt", "The Tin Orchard", "Barnaby Rook", ("en",), LONDON),
        date=date(2027, 2, 13),
        hours=Span(OPENS, OPENS + length * SLOT),
        pieces=pieces,
        quiet=tuple(quiet),
        gap=dice.randint(0, 12) * SLOT,
        budgets=tuple(dice.sample(caps, dice.randint(1, len(caps)))),
        wishes=Wishes(
            start_on=dice.choice([1, 2, 4, 10]) * SLOT, fixed=tuple(fixed[: dice.randint(0, 1)])
        ),
    )


def random_list(day: Day, dice: Random, most: int = 9) -> list[Performance]:
    slots = day.hours.length // SLOT
    grid = day.wishes.start_on // SLOT if dice.random() < 0.8 else 1
    outside = 30 if dice.random() < 0.2 else 0
    starts = [dice.randint(-outside, slots + outside) for _ in range(dice.randint(0, most))]
    return [
        Performance(OPENS + start // grid * grid * SLOT, dice.choice(day.pieces))
        for start in starts
    ]


class Slots:
    """A day cut into half-minutes: what starts in each, and what sounds through it."""

    def __init__(self, day: Day, performances: list[Performance]) -> None:
        self.day = day
        self.first = OPENS - LEAD * SLOT
        self.count = day.hours.length // SLOT + 2 * LEAD
        self.starting: list[list[Piece]] = [[] for _ in range(self.count)]
        self.sounding: list[list[Piece]] = [[] for _ in range(self.count)]
        for performance in performances:
            begins = (performance.starts - self.first) // SLOT
            self.starting[begins].append(performance.piece)
            for slot in range(begins, begins + performance.piece.lasts // SLOT):
                self.sounding[slot].append(performance.piece)

    def spent(self, budget: Budget, slot: int) -> float:
        """What is spent in a slot, its start and its half-minute taken together."""
        at_once = sum(budget.spend(piece).at_start for piece in self.starting[slot])
        rate = sum(budget.spend(piece).per_second for piece in self.sounding[slot])
        if not self.sounding[slot] and LEAD <= slot < self.count - LEAD:
            rate = budget.resting
        return at_once + 30 * rate

    def worst(self, budget: Budget) -> float:
        """The highest level, tried in every window that begins with a slot."""
        spent = [self.spent(budget, slot) for slot in range(self.count)]
        match budget.drain:
            case Window(width):
                slots = width // SLOT
                begins = range(-slots, self.count)
                return max(math.fsum(spent[max(b, 0) : max(b + slots, 0)]) for b in begins)
            case Leak(time_constant):
                return max(self.warming(budget, time_constant.total_seconds()))
            case _:
                return budget.initial + math.fsum(spent)

    def warming(self, budget: Budget, seconds: float) -> Iterator[float]:
        level, kept = budget.initial, math.exp(-30 / seconds)
        for pieces in self.sounding:
            rate = sum(budget.spend(piece).per_second for piece in pieces)
            target = (rate if pieces else budget.resting) * seconds
            level = target + (level - target) * kept
            yield level


def rules_by_slots(day: Day, performances: list[Performance]) -> set[str]:
    """Which rules are broken, each asked in the plainest way."""
    slots, found = Slots(day, performances), set()
    for performance in performances:
        starts, ends = performance.starts, performance.ends
        clock = starts.astimezone(LONDON)
        found |= {"opens"} if starts < day.hours.start else set()
        found |= {"closes"} if ends > day.hours.end else set()
        found |= (
            {"grid"} if (clock.minute * 60 + clock.second) % day.wishes.start_on.seconds else set()
        )
        for quiet in day.quiet:
            kept_from, kept_until = quiet.span.start - quiet.margin, quiet.span.end + quiet.margin
            sounding = range((ends - starts) // SLOT)
            if any(kept_from <= starts + slot * SLOT < kept_until for slot in sounding):
                found.add("quiet")
        others = list(performances)
        others.remove(performance)
        for other in others:
            least = max(day.gap, other.piece.reset)
            if other.starts <= starts < other.ends + least:
                found.add("gap")
    for fixed in day.wishes.fixed:
        if not any(
            each.starts == fixed.at and fixed.piece in (None, each.piece.name)
            for each in performances
        ):
            found.add("fixed")
    for budget in day.budgets:
        if slots.worst(budget) > budget.limit * (1 + 1e-9):
            found.add(budget.rule)
    return found


def test_the_walk_finds_the_rules_that_a_look_at_every_half_minute_finds(full: bool) -> None:
    dice = Random(410)
    seen: dict[str, int] = {}
    for _ in range(4000 if full else 400):
        day = random_day(dice)
        performances = random_list(day, dice)
        expected = rules_by_slots(day, performances)
        assert {each.rule for each in broken(day, performances)} == expected
        for rule in expected or {"nothing"}:
            seen[rule] = seen.get(rule, 0) + 1
    # the dice have shown every rule, and days that break none
    assert min(seen.values()) >= 5, seen
    assert len(seen) == 13, seen


def test_the_worst_levels_are_those_of_a_look_at_every_half_minute(full: bool) -> None:
    dice = Random(411)
    for _ in range(2000 if full else 200):
        day = random_day(dice)
        performances = random_list(day, dice, most=20)
        slots = Slots(day, performances)
        for room in headroom(day, performances):
            assert math.isclose(room.worst, slots.worst(room.budget), rel_tol=1e-9, abs_tol=1e-9)


def test_one_performance_more_never_repairs_a_cap(full: bool) -> None:
    dice = Random(412)
    for _ in range(2000 if full else 200):
        day = random_day(dice)
        before = random_list(day, dice, most=12)
        more = [*before, *random_list(day, dice, most=3)]
        for less, later in zip(headroom(day, before), headroom(day, more), strict=True):
            assert later.worst >= less.worst * (1 - 1e-12)
        repaired = {each.rule for each in broken(day, before)} - {
            each.rule for each in broken(day, more)
        }
        assert repaired <= {"fixed"}


def test_the_order_of_the_list_says_nothing() -> None:
    dice = Random(413)
    for _ in range(100):
        day = random_day(dice)
        performances = random_list(day, dice)
        shuffled = dice.sample(performances, len(performances))
        assert broken(day, shuffled) == broken(day, performances)
