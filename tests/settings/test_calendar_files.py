"""Quiet intervals from calendar files, whole and broken."""

from __future__ import annotations

from typing import Any

import pytest

from showtime.fair import Answers

EVENT = """\
BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//Osierholt//Talks//EN
BEGIN:VEVENT
UID:talk-1@osierholt.example
DTSTAMP:20270101T120000Z
DTSTART;TZID=Europe/London:20270213T143500
DTEND;TZID=Europe/London:20270213T145000
RRULE:FREQ=DAILY;COUNT=2
SUMMARY:Tea talk
END:VEVENT
END:VCALENDAR
"""
ENTRY = ("quiet:\n", "quiet:\n  - {why: talks, calendar: talks.ics, margin: 5 min}\n")


def talks(desk: Any, calendar: str, zone: str = "Europe/London") -> list[tuple[str, str, str]]:
    desk.lay("talks.ics", calendar)
    stall = desk.stall(desk.changed(ENTRY, ("timezone: Europe/London", f"timezone: {zone}")))
    return [
        (one.why, f"{day.local(one.span.start):%d %H:%M}", f"{day.local(one.span.end):%d %H:%M}")
        for day in stall.days
        for one in day.quiet
        if "talks" in one.why
    ]


def changed(*changes: tuple[str, str]) -> str:
    text = EVENT
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


def test_each_event_is_a_quiet_interval(desk: Any) -> None:
    assert talks(desk, EVENT) == [
        ("talks: Tea talk", "13 14:35", "13 14:50"),
        ("talks: Tea talk", "14 14:35", "14 14:50"),
    ]


def test_the_entry_says_how_questions_are_answered(desk: Any) -> None:
    desk.lay("talks.ics", EVENT)
    entry = (ENTRY[0], ENTRY[1].replace("margin: 5 min", "answers: softly"))
    (talk,) = [one for one in desk.stall(desk.changed(entry)).days[0].quiet if "Tea" in one.why]
    assert talk.answers is Answers.SOFTLY


def test_only_on_the_days_it_is_for(desk: Any) -> None:
    desk.lay("talks.ics", EVENT)
    entry = (ENTRY[0], ENTRY[1].replace("margin: 5 min", "days: [2027-02-14]"))
    stall = desk.stall(desk.changed(entry))
    assert [[one.why for one in day.quiet if "Tea" in one.why] for day in stall.days] == [
        [], ["talks: Tea talk"],
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "starts"),
    [
        ([("DTSTART;TZID=Europe/London:20270213T143500", "DTSTART:20270213T143500Z"),
          ("DTEND;TZID=Europe/London:20270213T145000", "DTEND:20270213T145000Z")],
         ["13 11:35", "14 11:35"]),
        ([("DTSTART;TZID=Europe/London:", "DTSTART:"), ("DTEND;TZID=Europe/London:", "DTEND:")],
         ["13 14:35", "14 14:35"]),
        ([("DTSTART;TZID=Europe/London:20270213T143500", "DTSTART;TZID=Asia/Tokyo:20270214T003500"),
          ("DTEND;TZID=Europe/London:20270213T145000", "DTEND;TZID=Asia/Tokyo:20270214T005000")],
         ["13 12:35", "14 12:35"]),
        ([("DTEND;TZID=Europe/London:20270213T145000", "DURATION:PT15M")],
         ["13 11:35", "14 11:35"]),
    ],
    ids=["in UTC", "floating", "in Tokyo", "with a length"],
)  # fmt: skip
def test_times_in_utc_floating_and_elsewhere(
    desk: Any, changes: list[tuple[str, str]], starts: list[str]
) -> None:
    """Sao Paulo is 3 hours behind UTC, and Tokyo 9 hours ahead; London keeps it in February."""
    found = talks(desk, changed(*changes), "America/Sao_Paulo")
    assert [start for _, start, _ in found] == starts


def test_an_event_of_all_day_lasts_from_midnight_to_midnight(desk: Any) -> None:
    calendar = changed(
        ("DTSTART;TZID=Europe/London:20270213T143500", "DTSTART;VALUE=DATE:20270214"),
        ("DTEND;TZID=Europe/London:20270213T145000\n", ""),
        ("RRULE:FREQ=DAILY;COUNT=2\n", ""),
    )
    fixed = ("why: the judges come by}", "why: the judges come by, days: [2027-02-13]}")
    desk.lay("talks.ics", calendar)
    stall = desk.stall(desk.changed(ENTRY, fixed))
    spans = [one.span for one in stall.days[1].quiet if "Tea" in one.why]
    assert [(f"{span.start:%d %H:%M}", f"{span.end:%d %H:%M}") for span in spans] == [
        ("14 00:00", "15 00:00")
    ]
    assert not [one for one in stall.days[0].quiet if "Tea" in one.why]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("SUMMARY:Tea talk", "SUMMARY:Tea talk\nSTATUS:CANCELLED"),
        ("DTEND;TZID=Europe/London:20270213T145000\n", ""),
        ("20270213T143500", "20260213T143500"),
        ("RRULE:FREQ=DAILY;COUNT=2", "EXDATE;TZID=Europe/London:20270213T143500"),
    ],
    ids=["called off", "of no length", "on other days", "taken out"],
)
def test_events_that_make_nothing_quiet(desk: Any, old: str, new: str) -> None:
    calendar = changed((old, new))
    if "2026" in new:
        calendar = calendar.replace("20270213T145000", "20260213T145000")
    assert talks(desk, calendar) == []


def test_one_of_a_series_may_be_moved(desk: Any) -> None:
    moved = (
        "BEGIN:VEVENT\nUID:talk-1@osierholt.example\nDTSTAMP:20270102T120000Z\n"
        "RECURRENCE-ID;TZID=Europe/London:20270214T143500\n"
        "DTSTART;TZID=Europe/London:20270214T110000\nDTEND;TZID=Europe/London:20270214T111500\n"
        "SUMMARY:Early talk\nEND:VEVENT\nEND:VCALENDAR\n"
    )
    assert talks(desk, changed(("END:VCALENDAR\n", moved))) == [
        ("talks: Tea talk", "13 14:35", "13 14:50"),
        ("talks: Early talk", "14 11:00", "14 11:15"),
    ]


def test_a_zone_may_be_defined_in_the_file_itself(desk: Any) -> None:
    zone = (
        "BEGIN:VTIMEZONE\nTZID:Stall time\nBEGIN:STANDARD\nDTSTART:16010101T000000\n"
        "TZOFFSETFROM:+0200\nTZOFFSETTO:+0200\nEND:STANDARD\nEND:VTIMEZONE\nBEGIN:VEVENT\n"
    )
    calendar = changed(("BEGIN:VEVENT\n", zone)).replace("TZID=Europe/London", "TZID=Stall time")
    assert [start for _, start, _ in talks(desk, calendar)] == ["13 12:35", "14 12:35"]


def test_tasks_and_alarms_are_let_be_whatever_they_hold(desk: Any) -> None:
    alarm = "BEGIN:VALARM\nTRIGGER:-PT15M\nDURATION:never\nEND:VALARM\nEND:VEVENT\n"
    task = "BEGIN:VTODO\nDUE:some day\nEND:VTODO\nEND:VCALENDAR\n"
    calendar = changed(("END:VEVENT\n", alarm), ("END:VCALENDAR\n", task))
    assert len(talks(desk, calendar)) == 2


def test_folded_lines_and_quoted_parameters(desk: Any) -> None:
    calendar = changed(
        ("SUMMARY:Tea talk", 'SUMMARY;ALTREP="cid:a;b:c":Tea\n  ta\n lk'),
        ("TZID=Europe/London:20270213T143500", 'TZID="Europe/London":20270213T143500'),
    )
    assert [why for why, _, _ in talks(desk, calendar)] == ["talks: Tea talk"] * 2


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("20270213T143500", "20270230T143500", "'20270230T143500' is no date or time from 1970"),
        ("20270213T143500", "00010101T143500", "from 1970 to 2199"),
        ("20270213T143500", "99991231T143500", "from 1970 to 2199"),
        ("20270213T143500", "tomorrow", "'tomorrow' is no date or time"),
        ("20270213T143500", "20270213T256000", "is no date or time"),
        (
            "TZID=Europe/London:20270213T143500",
            "TZID=Mars/Base:20270213T143500",
            "Mars/Base is not",
        ),
        ("RRULE:FREQ=DAILY", "RRULE:FREQ=SOMETIMES", "the rule needs a frequency; write FREQ="),
        ("RRULE:FREQ=DAILY", "RRULE:FREQ=SECONDLY", "the rule needs a frequency"),
        ("RRULE:FREQ=DAILY", "RRULE:FREQ=DAILY;INTERVAL=0", "INTERVAL=0 means nothing in a rule"),
        ("RRULE:FREQ=DAILY", "RRULE:FREQ=DAILY;BYDAY=XX", "BYDAY=XX means nothing"),
        ("RRULE:FREQ=DAILY", "RRULE:FREQ=DAILY;FREQ=DAILY", "says FREQ twice"),
        ("RRULE:FREQ=DAILY", "RRULE:FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30", "no month has such a day"),
        ("RRULE:FREQ=DAILY", "RRULE:FREQ=DAILY;UNTIL=20280101T000000Z", "both COUNT and UNTIL"),
        ("RRULE:FREQ=DAILY", "RRULE:FREQ=DAILY;BYSETPOS=2", "BYSETPOS has no meaning in a DAILY"),
        ("SUMMARY:Tea talk", "SUMMARY Tea talk", "'SUMMARY Tea talk' is no line of a calendar"),
        ("SUMMARY:Tea talk", "DURATION:PT5M", "ends do not go together"),
        ("SUMMARY:Tea talk", "SEQUENCE:two", "no whole number"),
        ("END:VEVENT", "END:VTODO", "END:VTODO ends BEGIN:VEVENT; mend the pair"),
        ("VERSION:2.0", "X-WR-TIMEZONE:Mars/Base", "the zone 'Mars/Base' is not known"),
    ],
)
def test_a_broken_line_is_told_by_its_number(desk: Any, old: str, new: str, said: str) -> None:
    calendar = changed((old, new))
    place = calendar[: calendar.index(new)].count("\n") + 1
    path = desk.lay("talks.ics", calendar)
    error = desk.complaints(desk.changed(ENTRY))
    (problem,) = error.problems
    assert said in problem.message
    if "go together" not in said:
        assert (problem.where.file, problem.where.line) == (str(path), place)


def test_an_event_that_ends_before_it_starts(desk: Any) -> None:
    desk.lay("talks.ics", changed(("\nDTEND;TZID=Europe/London:20270213T145000",
                                   "\n▸DTEND;TZID=Europe/London:20270213T135000")))  # fmt: skip
    error = desk.complaints(desk.changed(ENTRY))
    assert [problem.where for problem in error.problems] == desk.marks
    assert "ends before it starts" in str(error)


def test_an_event_without_a_start(desk: Any) -> None:
    calendar = changed(("BEGIN:VEVENT", "▸BEGIN:VEVENT"),
                       ("DTSTART;TZID=Europe/London:20270213T143500\n", ""))  # fmt: skip
    desk.lay("talks.ics", calendar)
    error = desk.complaints(desk.changed(ENTRY))
    assert [problem.where for problem in error.problems] == desk.marks


@pytest.mark.parametrize(
    ("calendar", "said"),
    [
        ("", "1:1: this is no calendar; it must begin with BEGIN:VCALENDAR"),
        ("stall: The Tin Orchard\n", "1:1: this is no calendar"),
        (EVENT.replace("END:VCALENDAR\n", ""), "11:1: the calendar breaks off after this line"),
        (EVENT[: EVENT.index("RRULE")], "8:1: the calendar breaks off after this line; END:VEVENT"),
        ("BEGIN:VCALENDAR\n" * 9, "6:1: this is nested too deep"),
        (EVENT.replace("FREQ=DAILY;COUNT=2", "FREQ=MINUTELY").replace("20270213T14", "20200213T14"),
         "9:1: this repeats too often by then"),
        ("BEGIN:VCALENDAR\n" + "BEGIN:VEVENT\nEND:VEVENT\n" * 5001 + "END:VCALENDAR\n",
         "10002:1: this calendar has more than 5000 events"),
        ("x\n" * 100_000, "1:1: 'x' is no line of a calendar"),
        ("BEGIN:VCALENDAR\n" + "x:y\n" * 200_000, "150001:1: this calendar has more than 150000"),
    ],
    ids=["empty", "of another kind", "cut off", "cut off in an event", "nested", "endless",
         "of too many events", "of lines that are none", "of too many lines"],
)  # fmt: skip
def test_a_file_that_is_no_calendar(desk: Any, calendar: str, said: str) -> None:
    path = desk.lay("talks.ics", calendar)
    error = desk.complaints(desk.changed(ENTRY))
    assert str(error).startswith(f"{path}:{said}")


def test_a_calendar_that_is_not_there_is_told_where_it_is_named(desk: Any) -> None:
    entry = (ENTRY[0], ENTRY[1].replace("talks.ics", "▸talks.ics"))
    error = desk.complaints(desk.changed(entry))
    assert [problem.where for problem in error.problems] == desk.marks
    assert "there is no file" in str(error)
