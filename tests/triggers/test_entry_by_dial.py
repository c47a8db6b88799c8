"""From the dial's contacts to the time that counts: never another one than was dialled."""

from __future__ import annotations

from random import Random

import pytest

from showtime.triggers.dial import Dial, Heard
from showtime.triggers.entry import Entry, Open, Told
from showtime.triggers.worn_dial import (
    Changes,
    WornDial,
    levels,
    lost,
    run_together,
    sparked,
)

S = 1_000_000
TIN_ORCHARD = Open(10 * 60, 17 * 60, 14 * 60 + 12)


def came_of(turns: list[Changes]) -> list[Told]:
    """The whole way, the time looked at every fifth of a second."""
    dial, entry, told = Dial(0), Entry(TIN_ORCHARD), list[Told | None]()

    def take(heard: Heard | None) -> None:
        if heard and heard.digit is None:
            told.append(entry.doubt(heard.at, heard.doubt))
        elif heard:
            told.append(entry.digit(heard.at, heard.digit))

    edges = [edge for changes in turns for edge in levels(changes)]
    now = 0
    for at, is_open in [*edges, (edges[-1][0] + 20 * S, False)]:
        while now + S // 5 < at:
            now += S // 5
            take(dial.tick(now))
            told.append(entry.busy(now) if dial.turning else entry.tick(now))
        take(dial.edge(at, is_open))
    return [each for each in told if each]


def a_time(luck: Random) -> tuple[str, int]:
    """What is dialled, three digits or four, and the minute of the day that is meant."""
    minute = luck.randint(10 * 60, 17 * 60)
    hour = minute // 60
    if hour < 13 or luck.random() < 0.5:
        return f"{hour}{minute % 60:02}", minute
    return f"{hour - 12}{minute % 60:02}", minute


def turns(digits: str, luck: Random, hurt: int | None = None) -> list[Changes]:
    """Each digit's changes; the one in that place is damaged."""
    dial = WornDial(luck.uniform(7, 12), luck.uniform(0.55, 0.75), jitter=2_000)
    at, made = S, []
    for place, digit in enumerate(digits):
        run = dial.run(int(digit) or 10, luck)
        sparks = 0
        if place == hurt:
            ill = luck.choice(("lost", "together", "sparks", "eleven", "finger"))
            pulses = (len(run) + 1) // 2
            if ill == "lost" and pulses > 2:
                run = lost(run, luck.randint(1, pulses - 2))
            elif ill == "together" and pulses > 1:
                run = run_together(run, luck.randint(0, pulses - 2))
            elif ill == "eleven":
                run = dial.run(luck.randint(11, 13), luck)
            elif ill == "finger":
                run = [round(length * luck.choice((1, 1.2, 2, 4))) for length in run]
            else:
                sparks = luck.randint(1, 6)
        changes = dial.contacts(run, at, luck)
        for _ in range(sparks):
            when = luck.randint(changes[0], changes[-1])
            changes = sparked(changes, when, luck.randint(50, 15_000))
        made.append(changes)
        at = changes[-1] + luck.randint(600_000, 2_500_000)
    return made


def test_every_time_that_is_dialled_well_counts(full):
    luck = Random(21)
    for _ in range(2_000 if full else 200):
        digits, minute = a_time(luck)
        told = came_of(turns(digits, luck))
        assert told == [Told("understood", minute, ""), Told("counts", minute, "")], digits


def test_a_time_with_one_damaged_digit_is_that_time_or_not_caught(full):
    luck, missed = Random(22), 0
    for _ in range(10_000 if full else 500):
        digits, minute = a_time(luck)
        told = came_of(turns(digits, luck, hurt=luck.randrange(len(digits))))
        if told[0].what == "not caught":
            assert len(told) == 1, digits
            missed += 1
        else:
            assert told == [Told("understood", minute, ""), Told("counts", minute, "")], digits
    assert missed > 100


@pytest.mark.parametrize("digits", ["2500", "175", "999", "12"])
def test_nonsense_is_not_caught(digits):
    assert [told.what for told in came_of(turns(digits, Random(23)))] == ["not caught"]


def test_a_fifth_digit_takes_the_time_back():
    told = came_of(turns("14305", Random(23)))
    assert [each.what for each in told] == ["understood", "cancelled"]
