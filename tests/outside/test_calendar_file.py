"""The calendar that visitors take with them, read back by a library that did not write it.

Reader: icalendar (https://icalendar.readthedocs.io). The rules are those of RFC 5545: content lines
and folding (3.1), text (3.3.11), UID (3.8.4.7), SEQUENCE (3.8.7.4), STATUS (3.8.1.11), alarms
(3.6.6). For the same start another entry must bear the same UID (RFC 7986, 5.3, keeps that rule).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar

from showtime.faces.calendar import CalendarError, calendar, updated
from showtime.fair import Day, Performance, Piece, Plan, Signboard

NOW = datetime(2027, 2, 12, 20, 0, tzinfo=UTC)
LATER = NOW + timedelta(hours=2)


def entries(made: bytes) -> list[Any]:
    return list(Calendar.from_ical(made).walk("VEVENT"))


def test_every_performance_of_the_plan_is_in_it(saturday_plan: Plan) -> None:
    made = entries(calendar(saturday_plan.day, saturday_plan.performances, NOW))
    assert [(e.decoded("DTSTART"), e.decoded("DTEND")) for e in made] == [
        (p.starts, p.ends) for p in saturday_plan.performances
    ]
    figure = saturday_plan.day.signboard.figure
    assert [str(e["SUMMARY"]) for e in made] == [
        f"{figure}: {p.piece.name}" for p in saturday_plan.performances
    ]
    assert all(e["SEQUENCE"] == 0 and e["STATUS"] == "CONFIRMED" for e in made)
    assert all(e.decoded("DTSTAMP") == NOW for e in made)


def test_lines_are_no_longer_than_the_standard_allows(saturday_plan: Plan) -> None:
    board = replace(saturday_plan.day.signboard, stall="Gwŷl y Lleuad 🎠 " * 9)
    day = replace(saturday_plan.day, signboard=board)
    made = calendar(day, saturday_plan.performances, NOW)
    for line in made.split(b"\r\n"):
        assert len(line) <= 75
        assert b"\n" not in line
        line.decode()  # no character is parted
    assert str(entries(made)[0]["LOCATION"]).startswith(board.stall)


HOSTILE = [
    "Bells; DROP,TABLE\\n",
    "BEGIN:VEVENT",
    "<script>alert(1)</script>",
    'a "quoted": name',
    "a\r\nEND:VCALENDAR\r\nBEGIN:VEVENT",
    "\u2028line\u2029ends\x85here",
]


@pytest.mark.parametrize("name", HOSTILE)
def test_whatever_a_piece_is_called_it_is_one_entry_with_that_name(
    saturday: Day, saturday_plan: Plan, name: str
) -> None:
    starts = saturday_plan.performances[0].starts
    made = entries(calendar(saturday, [Performance(starts, Piece(name, 5 * MINUTE))], NOW))
    assert len(made) == 1
    for sign in ("\r\n", "\u2028", "\u2029", "\x85"):
        name = name.replace(sign, " ")
    assert str(made[0]["SUMMARY"]) == f"{saturday.signboard.figure}: {name}".strip()
    whole = calendar(saturday, [Performance(starts, Piece(name, 5 * MINUTE))], NOW)
    assert (
        calendar(saturday, [Performance(starts, Piece(name, 5 * MINUTE))], LATER, former=whole)
        == whole
    )


MINUTE = timedelta(minutes=1)


def test_the_same_start_has_the_same_uid_on_another_evening_and_with_another_piece(
    saturday: Day, saturday_plan: Plan
) -> None:
    first, second = saturday.pieces
    starts = saturday_plan.performances[0].starts
    one = entries(calendar(saturday, [Performance(starts, first)], NOW))[0]
    other = entries(calendar(saturday, [Performance(starts, second)], LATER))[0]
    elsewhere = replace(saturday, signboard=replace(saturday.signboard, stall="The Lantern Cart"))
    third = entries(calendar(elsewhere, [Performance(starts, first)], NOW))[0]
    assert one["UID"] == other["UID"]
    assert one["UID"] != third["UID"]


def test_what_changed_is_told_as_a_change_and_the_rest_is_left_alone(
    saturday: Day, saturday_plan: Plan
) -> None:
    former = calendar(saturday, saturday_plan.performances, NOW)
    moved = list(saturday_plan.performances)
    gone, other = moved.pop(3), next(p for p in saturday.pieces if p != moved[0].piece)
    moved[0] = replace(moved[0], piece=other)
    added = Performance(gone.starts + 5 * MINUTE, gone.piece)
    made = entries(calendar(saturday, [*moved, added], LATER, former=former))
    by_start = {each.decoded("DTSTART"): each for each in made}
    assert len(made) == len(saturday_plan.performances) + 1
    cancelled, changed, new = (by_start[p.starts] for p in (gone, moved[0], added))
    assert (cancelled["STATUS"], cancelled["SEQUENCE"]) == ("CANCELLED", 1)
    assert (changed["STATUS"], changed["SEQUENCE"]) == ("CONFIRMED", 1)
    assert (new["STATUS"], new["SEQUENCE"]) == ("CONFIRMED", 0)
    assert {each.decoded("LAST-MODIFIED") for each in (cancelled, changed, new)} == {LATER}
    assert changed.decoded("CREATED") == NOW
    for same in moved[1:]:
        assert by_start[same.starts]["SEQUENCE"] == 0
        assert by_start[same.starts].decoded("LAST-MODIFIED") == NOW


def test_nothing_new_makes_the_same_file_and_a_start_may_come_back(
    saturday: Day, saturday_plan: Plan
) -> None:
    made = calendar(saturday, saturday_plan.performances, NOW)
    assert calendar(saturday, saturday_plan.performances, LATER, former=made) == made
    without = calendar(saturday, saturday_plan.performances[1:], LATER, former=made)
    again = entries(calendar(saturday, saturday_plan.performances, LATER, former=without))
    assert (again[0]["STATUS"], again[0]["SEQUENCE"]) == ("CONFIRMED", 2)


def test_the_other_day_stays_in_the_file(
    tin_orchard: Any, saturday_plan: Plan, tmp_path: Path
) -> None:
    sunday = tin_orchard.days[1]
    file = tmp_path / "both.ics"
    file.write_bytes(updated(file, saturday_plan.day, saturday_plan.performances, NOW))
    one = [Performance(sunday.hours.start, sunday.pieces[0])]
    file.write_bytes(updated(file, sunday, one, LATER))
    made = entries(file.read_bytes())
    assert len(made) == len(saturday_plan.performances) + 1
    assert {str(each["STATUS"]) for each in made} == {"CONFIRMED"}


def test_an_alarm_is_set_before_each_start(saturday_plan: Plan) -> None:
    made = calendar(saturday_plan.day, saturday_plan.performances, NOW, alarm=10 * MINUTE)
    alarms = list(Calendar.from_ical(made).walk("VALARM"))
    assert len(alarms) == len(saturday_plan.performances)
    assert {each.decoded("TRIGGER") for each in alarms} == {-10 * MINUTE}
    assert {str(each["ACTION"]) for each in alarms} == {"DISPLAY"}


THEIRS = b"""BEGIN:VCALENDAR\r
VERSION:2.0\r
PRODID:-//a//b//EN\r
BEGIN:VEVENT\r
UID:holiday\r
DTSTAMP:20270101T000000Z\r
CREATED:20270101T000000Z\r
LAST-MODIFIED:20270101T000000Z\r
DTSTART:20270214T100000Z\r
DTEND:20270214T110000Z\r
END:VEVENT\r
END:VCALENDAR\r
"""


@pytest.mark.parametrize(
    "there",
    [THEIRS, b"not a calendar", b"\xff\xfe\x00", b"BEGIN:VCALENDAR\r\nEND:VCALENDAR", b"x" * 99],
)
def test_somebodys_own_calendar_is_not_written_over(
    saturday_plan: Plan, tmp_path: Path, there: bytes
) -> None:
    file = tmp_path / "mine.ics"
    file.write_bytes(there)
    if there.startswith(b"BEGIN") and b"VEVENT" not in there:
        assert entries(updated(file, saturday_plan.day, saturday_plan.performances, NOW))
        return
    with pytest.raises(CalendarError, match=r"mine\.ics:1:1: .*give another name"):
        updated(file, saturday_plan.day, saturday_plan.performances, NOW)
    assert file.read_bytes() == there


def test_the_hour_that_comes_twice_makes_two_entries(
    with_night: Callable[[], tuple[Day, list[Performance]]],
) -> None:
    day, performances = with_night()
    made = entries(calendar(day, performances, NOW))
    assert [each.decoded("DTSTART") for each in made] == [p.starts for p in performances]
    assert len({str(each["UID"]) for each in made}) == len(performances)


@pytest.fixture
def with_night(saturday: Day) -> Callable[[], tuple[Day, list[Performance]]]:
    """From before midnight into the night on which London's clocks go back: 31 October 2027."""

    def night() -> tuple[Day, list[Performance]]:
        from datetime import date

        from showtime.fair import Span

        begins = datetime(2027, 10, 30, 21, 0, tzinfo=UTC)
        day = replace(
            saturday,
            date=date(2027, 10, 30),
            hours=Span(begins, begins + timedelta(hours=6)),
            signboard=replace(saturday.signboard),
        )
        starts = [begins + timedelta(minutes=30 * n) for n in range(11)]
        return day, [Performance(start, saturday.pieces[0]) for start in starts]

    return night


def test_a_stall_far_from_utc_finds_its_own_entries_again(saturday: Day) -> None:
    from zoneinfo import ZoneInfo

    for zone in ("Pacific/Kiritimati", "Pacific/Niue"):
        board: Signboard = replace(saturday.signboard, timezone=ZoneInfo(zone))
        starts = datetime(2027, 2, 13, 23, 30, tzinfo=ZoneInfo(zone))
        day = replace(saturday, signboard=board)
        former = calendar(day, [Performance(starts, day.pieces[0])], NOW)
        made = entries(calendar(day, [], LATER, former=former))
        assert [str(each["STATUS"]) for each in made] == ["CANCELLED"]
