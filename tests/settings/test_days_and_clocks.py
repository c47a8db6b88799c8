"""Which instant a time of day means: past midnight, and on days when the clocks change.

London's clocks go forward on 2027-03-28 at 01:00 and back on 2027-10-31 at 02:00 (rule: the last
Sundays of March and October at 01:00 UTC; IANA time zone database, file europe, zone GB-Eire).
Lord Howe Island's go forward by half an hour (file australasia, zone LH: 02:00 to 02:30).
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from showtime.fair import Day

HEAD = """\
fair: Osierholt Curiosity Fair
stall: The Tin Orchard
figure: Barnaby Rook
timezone: {zone}
pieces: [{{name: Frost Bells, lasts: 4 min}}]
days:
  - {{date: {date}, opens: {opens}, closes: {closes}}}
"""
NIGHT = {"zone": "Europe/London", "date": "2027-02-13", "opens": "18:00", "closes": "1:30"}


def text(more: str = "", **day: str) -> str:
    return HEAD.format(**(NIGHT | day)) + more


def only_day(desk: Any, more: str = "", **day: str) -> Day:
    (found,) = desk.stall(text(more, **day)).days
    return found


def clock(when: datetime, day: Day) -> str:
    return f"{day.local(when):%d %H:%M}"


def quiet(day: Day) -> list[tuple[str, str]]:
    return [(clock(one.span.start, day), clock(one.span.end, day)) for one in day.quiet]


@pytest.mark.parametrize(
    ("opens", "closes", "hours"),
    [
        ("10:00", "17:00", 7), ("10:00", "24:00", 14), ("18:00", "1:30", 7.5), ("18:00", "0:00", 6),
        ("0:00", "24:00", 24), ("0:00", "0:00", 24), ("10:00", "10:00", 24),
        ("9:05", "9:10", 1 / 12), ("'10:00'", "17:00:30", 7 + 1 / 120),
    ],
)  # fmt: skip
def test_closing_at_or_before_opening_is_after_midnight(
    desk: Any, opens: str, closes: str, hours: float
) -> None:
    assert only_day(desk, opens=opens, closes=closes).hours.length == timedelta(hours=hours)


def test_times_are_instants_in_the_stalls_zone(desk: Any) -> None:
    day = only_day(desk, date="2027-07-03", opens="10:00", closes="17:00")
    assert day.hours.start == datetime(2027, 7, 3, 9, tzinfo=UTC)


@pytest.mark.parametrize(
    ("entry", "lies"),
    [
        ("from: 19:00, until: 19:30", [("13 19:00", "13 19:30")]),
        ("from: 0:30, until: 1:00", [("14 00:30", "14 01:00")]),
        ("from: 23:45, until: 0:15", [("13 23:45", "14 00:15")]),
        ("from: 23:45, until: 24:00", [("13 23:45", "14 00:00")]),
        ("from: 17:30, until: 17:50, margin: 15 min", [("13 17:30", "13 17:50")]),
        ("from: 17:30, until: 17:50", []),
        ("from: 1:30, until: 2:00", []),
        ("from: 1:30, until: 2:00, margin: 1 min", [("14 01:30", "14 02:00")]),
        ("from: 23:00, until: 6:00", [("13 23:00", "14 06:00")]),
        ("from: 23:40, until: 23:50, every: 60 min",
         [("13 23:40", "13 23:50"), ("14 00:40", "14 00:50")]),
        ("from: 0:10, until: 0:20, every: 60 min",
         [("14 00:10", "14 00:20"), ("14 01:10", "14 01:20")]),
        ("from: 15:00, until: 15:20, every: 2 h",
         [("13 19:00", "13 19:20"), ("13 21:00", "13 21:20"), ("13 23:00", "13 23:20"),
          ("14 01:00", "14 01:20")]),
    ],
)  # fmt: skip
def test_a_quiet_interval_lies_on_the_date_that_meets_the_night(
    desk: Any, entry: str, lies: list[tuple[str, str]]
) -> None:
    assert quiet(only_day(desk, f"quiet: [{{why: hush, {entry}}}]\n")) == lies


def test_a_day_of_nearly_24_hours_may_meet_an_interval_twice(desk: Any) -> None:
    day = only_day(
        desk, "quiet: [{why: hush, from: 8:00, until: 12:00}]\n", opens="10:00", closes="9:00"
    )
    assert quiet(day) == [("13 08:00", "13 12:00"), ("14 08:00", "14 12:00")]


def test_midnight_is_a_good_end_on_a_day_that_closes_then(desk: Any) -> None:
    more = "quiet: [{why: hush, from: 23:30, until: 0:00}]\n"
    assert quiet(only_day(desk, more, closes="24:00")) == [("13 23:30", "14 00:00")]
    told = desk.complaints(text(more.replace("0:00", "▸0:00"), closes="23:59"))
    assert [problem.where for problem in told.problems] == desk.marks


def test_an_interval_over_midnight_must_not_be_a_slip(desk: Any) -> None:
    told = desk.complaints(text("quiet: [{why: hush, from: 20:00, until: ▸19:30}]\n"))
    assert [problem.where for problem in told.problems] == desk.marks
    assert "ends at 19:30, not after it starts at 20:00" in str(told)


def test_busy_spans_and_fixed_times_go_past_midnight_too(desk: Any) -> None:
    more = (
        "wishes: {busy: [{from: 23:30, until: 0:30, worth: 2}],"
        " fixed: [{at: 1:00, piece: Frost Bells}, {at: 23:00}]}\n"
    )
    day = only_day(desk, more)
    (busy,) = day.wishes.busy
    assert (clock(busy.span.start, day), clock(busy.span.end, day)) == ("13 23:30", "14 00:30")
    assert [clock(fixed.at, day) for fixed in day.wishes.fixed] == ["13 23:00", "14 01:00"]


def test_a_fixed_time_after_closing_past_midnight(desk: Any) -> None:
    told = desk.complaints(text("wishes: {fixed: [{at: ▸1:28}]}\n"))
    assert [problem.where for problem in told.problems] == desk.marks
    assert "01:28 on 2027-02-13 and 4 min of sound are not inside" in str(told)
    assert "18:00 to 01:30; write 01:25" in str(told)


def test_busy_spans_that_overlap_past_midnight(desk: Any) -> None:
    more = (
        "wishes:\n  busy:\n    - {from: 23:30, until: 0:30, worth: 2}\n"
        "    - ▸{from: 0:15, until: 0:45, worth: 3}\n"
    )
    told = desk.complaints(text(more))
    assert [problem.where for problem in told.problems] == desk.marks
    assert "overlaps another busy span on 2027-02-13" in str(told)


def test_busy_spans_that_touch_are_fine(desk: Any) -> None:
    more = "wishes: {busy: [{from: 20:00, until: 21:00, worth: 2}, {from: 21:00, until: 22:00, worth: 3}]}\n"  # noqa: E501
    assert [busy.worth for busy in only_day(desk, more).wishes.busy] == [2, 3]


def test_a_night_must_end_before_the_next_day_begins(desk: Any) -> None:
    more = "  - {date: 2027-02-14, opens: ▸1:00, closes: 9:00}\n"
    told = desk.complaints(text(more))
    assert [problem.where for problem in told.problems] == desk.marks
    assert "opens before the day before has closed, at 01:30" in str(told)


def test_days_come_in_order_however_they_are_written(desk: Any) -> None:
    stall = desk.stall(text("  - {date: 2027-02-11, opens: 10:00, closes: 11:00}\n"))
    assert [str(day.date) for day in stall.days] == ["2027-02-11", "2027-02-13"]


SPRING = {"date": "2027-03-28", "opens": "0:30", "closes": "6:00"}
AUTUMN = {"date": "2027-10-31", "opens": "0:30", "closes": "6:00"}


def test_a_day_is_as_long_as_it_takes(desk: Any) -> None:
    assert only_day(desk, **SPRING).hours.length == timedelta(hours=4.5)
    assert only_day(desk, **AUTUMN).hours.length == timedelta(hours=6.5)


@pytest.mark.parametrize(
    ("more", "day"),
    [
        ("", {"date": "2027-03-28", "opens": "▸1:30", "closes": "6:00"}),
        ("", {"date": "2027-03-27", "opens": "18:00", "closes": "▸1:30"}),
        ("quiet: [{why: hush, from: ▸1:30, until: 3:00}]\n", SPRING),
        ("quiet: [{why: hush, from: 0:30, until: ▸1:30}]\n", SPRING),
        ("quiet: [{why: hush, from: ▸1:30, until: 1:40, every: 60 min}]\n".replace("1:40", "2:10"),
         SPRING),
        ("wishes: {fixed: [{at: ▸1:30}]}\n", SPRING),
        ("wishes: {busy: [{from: 0:45, until: ▸1:30, worth: 2}]}\n", SPRING),
    ],
)  # fmt: skip
def test_a_time_that_the_clocks_leave_out(desk: Any, more: str, day: dict[str, str]) -> None:
    told = desk.complaints(text(more, **day))
    assert [problem.where for problem in told.problems] == desk.marks, str(told)
    assert told.problems[0].message == (
        "there is no 01:30 on 2027-03-28: the clocks go forward to 02:00 then; write 02:00"
    )


def test_a_missing_time_that_does_not_matter_is_let_be(desk: Any) -> None:
    day = only_day(
        desk,
        "quiet: [{why: hush, from: 1:30, until: 3:00}]\n",
        date="2027-03-28",
        opens="10:00",
        closes="17:00",
    )
    assert day.quiet == ()


def test_half_an_hour_is_left_out_on_lord_howe_island(desk: Any) -> None:
    told = desk.complaints(
        text(zone="Australia/Lord_Howe", date="2027-10-03", opens="▸2:10", closes="6:00")
    )
    assert [problem.where for problem in told.problems] == desk.marks
    assert "the clocks go forward to 02:30 then; write 02:30" in str(told)


def test_of_a_time_that_comes_twice_the_first_is_meant(desk: Any) -> None:
    day = only_day(desk, "quiet: [{why: hush, from: 1:15, until: 1:45}]\n", **AUTUMN)
    (hush,) = day.quiet
    assert hush.span.start == datetime(2027, 10, 31, 0, 15, tzinfo=UTC)
    assert hush.span.length == timedelta(minutes=30)


def test_what_comes_every_hour_comes_by_elapsed_time(desk: Any) -> None:
    more = "quiet: [{why: hush, from: 0:45, until: 0:50, every: 60 min}]\n"
    day = only_day(desk, more, **AUTUMN)
    assert [one.span.start.hour for one in day.quiet] == [23, 0, 1, 2, 3, 4, 5]
    assert [clock(one.span.start, day) for one in day.quiet] == [
        "31 00:45", "31 01:45", "31 01:45", "31 02:45", "31 03:45", "31 04:45", "31 05:45",
    ]  # fmt: skip


def test_the_grid_of_starts_is_that_of_the_local_hour(desk: Any) -> None:
    """Kathmandu is 5 h 45 min ahead of UTC: a quarter past there is half past in Greenwich."""
    more = "wishes: {start_on: 30 min, fixed: [{at: 19:30}]}\n"
    day = only_day(desk, more, zone="Asia/Kathmandu")
    assert day.wishes.fixed[0].at.minute == 45
    told = desk.complaints(text(more.replace("19:30", "▸19:45"), zone="Asia/Kathmandu"))
    assert [problem.where for problem in told.problems] == desk.marks
    assert "write 19:30 or 20:00" in str(told)
