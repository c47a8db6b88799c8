"""The keeper dials a time, with cold fingers, on a dial that has seen better days."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import accumulate
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from showtime.triggers.dial import PAUSE, Dial, Heard
from showtime.triggers.worn_dial import (
    Changes,
    Lengths,
    WornDial,
    levels,
    lost,
    run_together,
    sparked,
    torn,
)

S = 1_000_000


def heard(changes: Changes, ticks: Iterable[int] = ()) -> list[Heard]:
    """What a dial tells of its contact's changes, and of nothing more for a while."""
    dial, told = Dial(0), []
    happenings = [(at, 1, is_open) for at, is_open in levels(changes)]
    happenings += [(at, 0, False) for at in ticks]
    for at, is_change, is_open in sorted(happenings, key=lambda happening: happening[0]):
        told.append(dial.edge(at, is_open) if is_change else dial.tick(at))
    told.append(dial.tick(changes[-1] + 3 * S))
    return [each for each in told if each]


def pulses(lengths_ms: list[int], at: int = S) -> Changes:
    return list(accumulate([1000 * length for length in lengths_ms], initial=at))


def any_dial(luck: Random) -> WornDial:
    """Any that is to be understood, with an edge off by up to 2.5 ms."""
    return WornDial(luck.uniform(7, 12), luck.uniform(0.55, 0.75), jitter=2_500)


def digits(told: list[Heard]) -> list[int | None]:
    return [each.digit for each in told]


def test_each_digit_is_heard_once():
    luck = Random(1)
    for digit in range(10):
        assert digits(heard(WornDial().turn(digit, S, luck))) == [digit]


def test_ten_thousand_sound_turns_are_all_understood(full):
    luck = Random(2027)
    for number in range(10_000 if full else 1_000):
        digit, dial = luck.randint(0, 9), any_dial(luck)
        assert digits(heard(dial.turn(digit, S, luck))) == [digit], (number, dial)


def test_a_dialled_time_comes_as_its_digits():
    luck, at, changes = Random(3), S, []
    for digit in (1, 4, 3, 0):
        changes += WornDial(9.4).turn(digit, at, luck)
        at = changes[-1] + 700_000
    assert digits(heard(changes)) == [1, 4, 3, 0]


def slowed(luck: Random) -> Changes:
    dial = WornDial(luck.uniform(2, 6.9), luck.uniform(0.55, 0.75))
    return dial.turn(luck.randint(1, 9), S, luck)


def hurt(how: str, run: Lengths, luck: Random) -> Lengths:
    count = (len(run) + 1) // 2
    if how == "a middle pulse is lost":
        return lost(run, luck.randint(1, count - 2))
    if how == "two pulses run together":
        return run_together(run, luck.randint(0, count - 2))
    if how == "several run together":
        run = run_together(run, luck.randint(0, count - 2))
        return run_together(run, luck.randint(0, count - 3))
    assert how == "a pulse is torn in two"
    pulse = luck.randint(0, count - 1)
    at_an_end = pulse in (0, count - 1)  # such a pulse may be torn, but not lost
    gap = luck.randint(1_000, run[2 * pulse] // 4 if at_an_end else run[2 * pulse] - 1_000)
    return torn(run, pulse, luck.randint(0, run[2 * pulse] - gap), gap)


DAMAGES = (
    "a middle pulse is lost",
    "two pulses run together",
    "several run together",
    "a pulse is torn in two",
    "it runs too slowly",
    "it runs too fast",
    "more than ten pulses",
    "a finger drags on it",
    "sparks on the wire",
    "sparks on the wire, all over",
)


def damaged(how: str, luck: Random) -> tuple[int | None, Changes]:
    """What was dialled, if it was a digit at all, and what came of it on the contact."""
    dial, count = any_dial(luck), luck.randint(3, 10)
    run = dial.run(count, luck)
    if how == "it runs too slowly":
        dial = WornDial(luck.uniform(2, 6.9), luck.uniform(0.55, 0.75))
        run = dial.run(count, luck)
    elif how == "it runs too fast":
        dial = WornDial(luck.uniform(12.2, 30), luck.uniform(0.55, 0.75))
        run = dial.run(count, luck)
    elif how == "more than ten pulses":
        run = dial.run(luck.randint(11, 15), luck)
    elif how == "a finger drags on it":
        run = [round(length * (1 + luck.choice((0, 0, 1, 3)))) for length in run]
    elif how in DAMAGES[:4]:
        run = hurt(how, run, luck)
    changes = dial.contacts(run, S, luck)
    if "sparks" in how:
        for _ in range(luck.randint(1, 20 if "all over" in how else 3)):
            at = luck.randint(changes[0] - 50_000, changes[-1] + 50_000)
            changes = sparked(changes, at, luck.randint(20, 15_000))
    return None if how == "more than ten pulses" else count % 10, changes


@pytest.mark.parametrize("how", DAMAGES)
def test_a_damaged_turn_is_never_another_digit(how, full):
    luck, doubted = Random(how), 0
    for number in range(10_000 if full else 300):
        dialled, changes = damaged(how, luck)
        told = heard(changes)
        doubts = [each for each in told if each.digit is None]
        assert doubts or digits(told) == [dialled], (how, number, dialled, told)
        doubted += bool(doubts)
    assert doubted, how


@pytest.mark.parametrize("how", ["sound", *DAMAGES])
def test_it_does_not_matter_how_often_the_time_is_looked_at(how):
    luck = Random(how)
    for _ in range(60):
        changes = (
            any_dial(luck).turn(luck.randint(0, 9), S, luck)
            if how == "sound"
            else damaged(how, luck)[1]
        )
        until = changes[-1] + S
        often = [luck.randint(0, until) for _ in range(luck.choice((3, 30, 2_000)))]
        assert heard(changes, often) == heard(changes)


@given(st.lists(st.integers(1, 400_000), max_size=60))
@settings(max_examples=300, derandomize=True, deadline=None)
def test_whatever_the_wire_does_every_digit_is_one_that_was_seen(lengths):
    """No more digits than pauses, and never more pulses in them than openings."""
    changes = list(accumulate(lengths, initial=S))
    if len(changes) % 2:
        changes.append(changes[-1] + 60_000)
    told = digits(heard(changes))
    seen = sum((digit or 10) for digit in told if digit is not None)
    assert seen <= len(changes) // 2
    assert len(told) <= 1 + sum(length >= 300_000 for length in lengths)


def test_a_doubt_says_why():
    reasons = {
        (60, 40, 60, 140, 60): "a make is too long",
        (60, 40, 160, 40, 60): "a break is too long",
        (60, 40, 25, 10, 25): "a break is too short",
        (90, 8, 90): "a make is too short",
        (100, 65, 100): "the dial runs too slowly",
        (40, 25, 40, 25, 40): "the dial runs too fast",
        (60, 35, 60, 70, 60): "the pulses are uneven",
        (90, 15, 90): "breaks and makes are out of proportion",
        (60, 3, 4, 3, 30, 60): "the contact chatters",
        (60, 40) * 10 + (60,): "more than ten pulses",
    }
    for lengths, reason in reasons.items():
        assert [each.doubt for each in heard(pulses(list(lengths)))] == [reason]


def test_a_digit_is_known_as_soon_as_the_pause_is_over():
    (told,) = heard(pulses([60, 40, 60]))
    assert told == Heard(2, "", S + 160_000 + PAUSE)


def test_short_sparks_at_rest_are_nobody_dialling():
    assert heard(sparked([S, S + 2_000], S + 300_000, 4_000)) == []


def test_a_spark_in_a_make_or_a_break_of_a_sound_digit_does_no_harm():
    for at in (30_000, 75_000):
        assert digits(heard(sparked(pulses([60, 40, 60, 40, 60]), S + at, 2_000))) == [3]


def test_a_pulse_in_shreds_is_not_nobody_dialling():
    told = heard(pulses([4, 12, 3, 15, 4, 11, 5]))
    assert [each.doubt for each in told] == ["the contact chatters"]


def test_a_wire_that_is_off_is_told_once_and_dialling_goes_on_when_it_is_back():
    dial = Dial(0)
    told = [dial.edge(S, True), *(dial.tick(S + at) for at in range(0, 20 * S, 10_000))]
    assert [each.doubt for each in told if each] == ["the contact stays open"]
    told = [dial.edge(30 * S, False), *(dial.tick(30 * S + at) for at in range(0, S, 10_000))]
    assert not any(told)
    for at, is_open in levels(pulses([60, 40, 60], 40 * S)):
        dial.edge(at, is_open)
    assert dial.tick(50 * S) == Heard(2, "", 40 * S + 160_000 + PAUSE)


def test_who_dials_while_it_is_switched_on_is_asked_again():
    dial = Dial(5 * S)
    for at, is_open in levels(pulses([60, 40, 60], 5 * S + 50_000)):
        dial.edge(at, is_open)
    told = dial.tick(7 * S)
    assert told is not None
    assert told.doubt == "the dial was not at rest at the start"


def test_it_is_turning_from_the_first_break_until_the_digit_is_known():
    dial = Dial(0)
    assert not dial.turning
    for at, is_open in levels(pulses([60, 40, 60])):
        dial.edge(at, is_open)
        assert dial.turning
    dial.tick(S + 500_000)
    assert dial.turning
    dial.tick(S + 160_000 + PAUSE)
    assert not dial.turning
