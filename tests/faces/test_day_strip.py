"""The live day as a strip: each performance where it belongs, and a mark at the present."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from showtime.faces.daystrip import LINES, day_strip
from showtime.faces.strip import PRINTED, TYPED
from showtime.live.moment import as_planned

MINUTE = timedelta(minutes=1)


@pytest.fixture
def at_noon(saturday_plan):
    """The demo's Saturday at one minute past twelve, all gone as planned so far."""
    opens = saturday_plan.day.hours.start
    now = opens + timedelta(hours=2, minutes=1)
    return as_planned(saturday_plan, now, keep_within=MINUTE), now


def test_every_performance_has_a_mark_and_the_present_too(at_noon, saturday_plan):
    state, now = at_noon
    figures, ticks, drawn = day_strip(state, now, 400, PRINTED)
    assert drawn.plain.count(PRINTED.start) == len(saturday_plan.performances)
    assert ticks.plain.count(PRINTED.now) == 1
    assert ticks.plain.index(PRINTED.now) == figures.plain.index("12")


@pytest.mark.parametrize("width", [30, 31, 55, 80, 132, 400])
def test_it_keeps_to_the_width(at_noon, width):
    lines = day_strip(*at_noon, width, PRINTED)
    assert len(lines) == LINES
    assert all(line.cell_len <= width for line in lines)


def test_where_there_is_no_room_there_is_none(at_noon):
    assert day_strip(*at_noon, 29, PRINTED) == []


def test_a_plain_terminal_gets_plain_signs(at_noon):
    assert all(line.plain.isascii() for line in day_strip(*at_noon, 80, TYPED))


def test_before_and_after_the_open_hours_nothing_is_marked_now(at_noon):
    state, _ = at_noon
    for moment in (state.day.hours.start - MINUTE, state.day.hours.end + 90 * MINUTE):
        _, ticks, _ = day_strip(state, moment, 80, PRINTED)
        assert PRINTED.now not in ticks.plain


def test_what_was_called_off_is_gone_from_it(at_noon):
    state, now = at_noon
    fewer = replace(state, upcoming=state.upcoming[1:])
    before, after = (day_strip(each, now, 400, PRINTED)[2].plain for each in (state, fewer))
    assert after.count(PRINTED.start) == before.count(PRINTED.start) - 1
