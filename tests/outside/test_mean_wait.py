"""The mean wait of a visitor who arrives at any moment, against the literature and chance.

Sources: Osuna and Newell, Transportation Science 6 (1972), for even and exponential headways (from
memory); the worked example "Expected Wait Time and Variance in Headway" of ontrakinfo.wordpress.com
for uneven ones; and visitors sent at random, as the definition has them.
"""

from datetime import UTC, datetime, timedelta
from itertools import accumulate
from random import Random

import pytest

from showtime.fair import Span
from showtime.fair.wishes import mean_wait, waits

OPENS = datetime(2027, 2, 13, 10, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


def day_of(gaps: list[float]) -> tuple[Span, list[datetime]]:
    """Open hours whose waits, opening to first start, ..., last start to closing, are `gaps`."""
    marks = [OPENS + minutes * MINUTE for minutes in accumulate(gaps)]
    return Span(OPENS, marks[-1]), marks[:-1]


def in_minutes(gaps: list[float]) -> float:
    return mean_wait(*day_of(gaps)) / MINUTE


# Osuna and Newell, "Control strategies for an idealized public transportation system",
# Transportation Science 6 (1972): E[g^2] / (2 E[g]). From memory.
def test_even_headways_are_waited_for_half_their_length() -> None:
    assert in_minutes([10.0] * 42) == 5


def test_exponential_headways_are_waited_for_their_whole_length() -> None:
    dice = Random(1972)
    gaps = [dice.expovariate(1 / 10) for _ in range(200_000)]
    # The estimate's standard error is about 10 * sqrt(5 / 200 000) = 0.05 min.
    assert in_minutes(gaps) == pytest.approx(10, abs=0.2)


# ontrakinfo.wordpress.com, "Expected Wait Time and Variance in Headway": the figure there is
# E[g^2] / E[g], twice the mean wait.
@pytest.mark.parametrize(
    ("gaps", "twice"), [([10, 15, 5, 10, 10, 10], 10.83), ([10, 10, 10, 28, 1, 1], 18.1)]
)
def test_the_worked_examples_of_uneven_headways(gaps: list[float], twice: float) -> None:
    assert 2 * in_minutes(gaps) == pytest.approx(twice, abs=0.005)


# No source needed: visitors are sent at random, and what they wait is averaged.
def test_visitors_sent_at_random_wait_as_long_as_the_formula_says() -> None:
    dice = Random(6)
    hours, starts = day_of([12, 35, 35, 60, 20, 18, 90, 45, 40, 65])
    marks = [*starts, hours.end]
    waited = timedelta(0)
    for _ in range(100_000):
        arrives = OPENS + dice.random() * hours.length
        waited += min(mark for mark in marks if mark >= arrives) - arrives
    assert waited / 100_000 / MINUTE == pytest.approx(mean_wait(hours, starts) / MINUTE, rel=0.01)


def test_no_order_of_the_starts_and_no_gap_is_lost() -> None:
    hours, starts = day_of([10, 15, 5, 10, 10, 10])
    assert waits(hours, starts[::-1]) == waits(hours, starts)
    assert sum(waits(hours, starts), timedelta(0)) == hours.length
