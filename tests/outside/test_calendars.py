"""Repeating events as quiet intervals, against the examples of RFC 5545.

Source: RFC 5545 (September 2009), section 3.8.5.3 "Recurrence Rule", pages 123 to 132: the rules
and the lists of dates are those of its examples, all in the zone America/New_York. Where an
example goes on for ever, as many dates are checked as it lists.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Day
from showtime.settings import load_stall

NEW_YORK = ZoneInfo("America/New_York")


def on(month: str, *days: int, at: str = "09:00") -> list[str]:
    return [f"{month}-{day:02} {at}" for day in days]


def at(day: str, *times: str) -> list[str]:
    return [f"{day} {time}" for time in times]


def every_20_minutes(day: str) -> list[str]:
    return at(day, *(f"{hour:02}:{minute:02}" for hour in range(9, 17) for minute in (0, 20, 40)))


ALL_OF_THREE_JANUARIES = [
    *on("1998-01", *range(1, 32)), *on("1999-01", *range(1, 32)), *on("2000-01", *range(1, 32)),
]  # fmt: skip
FIVE_WEEKS = [*on("1997-09", 2, 4, 9, 11, 16, 18, 23, 25, 30), *on("1997-10", 2)]

EXAMPLES = {
    "Daily for 10 occurrences":
        ("19970902T090000", "FREQ=DAILY;COUNT=10", on("1997-09", *range(2, 12))),
    "Daily until December 24, 1997":
        ("19970902T090000", "FREQ=DAILY;UNTIL=19971224T000000Z",
         [*on("1997-09", *range(2, 31)), *on("1997-10", *range(1, 32)),
          *on("1997-11", *range(1, 31)), *on("1997-12", *range(1, 24))]),
    "Every other day - forever":
        ("19970902T090000", "FREQ=DAILY;INTERVAL=2",
         [*on("1997-09", *range(2, 31, 2)), *on("1997-10", *range(2, 31, 2)),
          *on("1997-11", *range(1, 30, 2)), *on("1997-12", 1, 3)]),
    "Every 10 days, 5 occurrences":
        ("19970902T090000", "FREQ=DAILY;INTERVAL=10;COUNT=5",
         [*on("1997-09", 2, 12, 22), *on("1997-10", 2, 12)]),
    "Every day in January, for 3 years, by the year":
        ("19980101T090000",
         "FREQ=YEARLY;UNTIL=20000131T140000Z;BYMONTH=1;BYDAY=SU,MO,TU,WE,TH,FR,SA",
         ALL_OF_THREE_JANUARIES),
    "Every day in January, for 3 years, by the day":
        ("19980101T090000", "FREQ=DAILY;UNTIL=20000131T140000Z;BYMONTH=1", ALL_OF_THREE_JANUARIES),
    "Weekly for 10 occurrences":
        ("19970902T090000", "FREQ=WEEKLY;COUNT=10",
         [*on("1997-09", 2, 9, 16, 23, 30), *on("1997-10", 7, 14, 21, 28), *on("1997-11", 4)]),
    "Weekly until December 24, 1997":
        ("19970902T090000", "FREQ=WEEKLY;UNTIL=19971224T000000Z",
         [*on("1997-09", 2, 9, 16, 23, 30), *on("1997-10", 7, 14, 21, 28),
          *on("1997-11", 4, 11, 18, 25), *on("1997-12", 2, 9, 16, 23)]),
    "Every other week - forever":
        ("19970902T090000", "FREQ=WEEKLY;INTERVAL=2;WKST=SU",
         [*on("1997-09", 2, 16, 30), *on("1997-10", 14, 28), *on("1997-11", 11, 25),
          *on("1997-12", 9, 23), *on("1998-01", 6, 20), *on("1998-02", 3, 17)]),
    "Weekly on Tuesday and Thursday for five weeks, until":
        ("19970902T090000", "FREQ=WEEKLY;UNTIL=19971007T000000Z;WKST=SU;BYDAY=TU,TH", FIVE_WEEKS),
    "Weekly on Tuesday and Thursday for five weeks, counted":
        ("19970902T090000", "FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH", FIVE_WEEKS),
    "Every other week on Monday, Wednesday, and Friday until December 24, 1997":
        ("19970901T090000",
         "FREQ=WEEKLY;INTERVAL=2;UNTIL=19971224T000000Z;WKST=SU;BYDAY=MO,WE,FR",
         [*on("1997-09", 1, 3, 5, 15, 17, 19, 29), *on("1997-10", 1, 3, 13, 15, 17, 27, 29, 31),
          *on("1997-11", 10, 12, 14, 24, 26, 28), *on("1997-12", 8, 10, 12, 22)]),
    "Every other week on Tuesday and Thursday, for 8 occurrences":
        ("19970902T090000", "FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH",
         [*on("1997-09", 2, 4, 16, 18, 30), *on("1997-10", 2, 14, 16)]),
    "Monthly on the first Friday for 10 occurrences":
        ("19970905T090000", "FREQ=MONTHLY;COUNT=10;BYDAY=1FR",
         [*on("1997-09", 5), *on("1997-10", 3), *on("1997-11", 7), *on("1997-12", 5),
          *on("1998-01", 2), *on("1998-02", 6), *on("1998-03", 6), *on("1998-04", 3),
          *on("1998-05", 1), *on("1998-06", 5)]),
    "Monthly on the first Friday until December 24, 1997":
        ("19970905T090000", "FREQ=MONTHLY;UNTIL=19971224T000000Z;BYDAY=1FR",
         [*on("1997-09", 5), *on("1997-10", 3), *on("1997-11", 7), *on("1997-12", 5)]),
    "Every other month on the first and last Sunday of the month for 10 occurrences":
        ("19970907T090000", "FREQ=MONTHLY;INTERVAL=2;COUNT=10;BYDAY=1SU,-1SU",
         [*on("1997-09", 7, 28), *on("1997-11", 2, 30), *on("1998-01", 4, 25),
          *on("1998-03", 1, 29), *on("1998-05", 3, 31)]),
    "Monthly on the second-to-last Monday of the month for 6 months":
        ("19970922T090000", "FREQ=MONTHLY;COUNT=6;BYDAY=-2MO",
         [*on("1997-09", 22), *on("1997-10", 20), *on("1997-11", 17), *on("1997-12", 22),
          *on("1998-01", 19), *on("1998-02", 16)]),
    "Monthly on the third-to-the-last day of the month, forever":
        ("19970928T090000", "FREQ=MONTHLY;BYMONTHDAY=-3",
         [*on("1997-09", 28), *on("1997-10", 29), *on("1997-11", 28), *on("1997-12", 29),
          *on("1998-01", 29), *on("1998-02", 26)]),
    "Monthly on the 2nd and 15th of the month for 10 occurrences":
        ("19970902T090000", "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=2,15",
         [*on("1997-09", 2, 15), *on("1997-10", 2, 15), *on("1997-11", 2, 15),
          *on("1997-12", 2, 15), *on("1998-01", 2, 15)]),
    "Monthly on the first and last day of the month for 10 occurrences":
        ("19970930T090000", "FREQ=MONTHLY;COUNT=10;BYMONTHDAY=1,-1",
         [*on("1997-09", 30), *on("1997-10", 1, 31), *on("1997-11", 1, 30), *on("1997-12", 1, 31),
          *on("1998-01", 1, 31), *on("1998-02", 1)]),
    "Every 18 months on the 10th thru 15th of the month for 10 occurrences":
        ("19970910T090000", "FREQ=MONTHLY;INTERVAL=18;COUNT=10;BYMONTHDAY=10,11,12,13,14,15",
         [*on("1997-09", 10, 11, 12, 13, 14, 15), *on("1999-03", 10, 11, 12, 13)]),
    "Every Tuesday, every other month":
        ("19970902T090000", "FREQ=MONTHLY;INTERVAL=2;BYDAY=TU",
         [*on("1997-09", 2, 9, 16, 23, 30), *on("1997-11", 4, 11, 18, 25),
          *on("1998-01", 6, 13, 20, 27), *on("1998-03", 3, 10, 17, 24, 31)]),
    "Yearly in June and July for 10 occurrences":
        ("19970610T090000", "FREQ=YEARLY;COUNT=10;BYMONTH=6,7",
         [f"{year}-{month}-10 09:00" for year in range(1997, 2002) for month in ("06", "07")]),
    "Every other year on January, February, and March for 10 occurrences":
        ("19970310T090000", "FREQ=YEARLY;INTERVAL=2;COUNT=10;BYMONTH=1,2,3",
         ["1997-03-10 09:00", *(f"{year}-{month}-10 09:00" for year in (1999, 2001, 2003)
                                for month in ("01", "02", "03"))]),
    "Every third year on the 1st, 100th, and 200th day for 10 occurrences":
        ("19970101T090000", "FREQ=YEARLY;INTERVAL=3;COUNT=10;BYYEARDAY=1,100,200",
         [*on("1997-01", 1), *on("1997-04", 10), *on("1997-07", 19), *on("2000-01", 1),
          *on("2000-04", 9), *on("2000-07", 18), *on("2003-01", 1), *on("2003-04", 10),
          *on("2003-07", 19), *on("2006-01", 1)]),
    "Every 20th Monday of the year, forever":
        ("19970519T090000", "FREQ=YEARLY;BYDAY=20MO",
         [*on("1997-05", 19), *on("1998-05", 18), *on("1999-05", 17)]),
    "Monday of week number 20, forever":
        ("19970512T090000", "FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO",
         [*on("1997-05", 12), *on("1998-05", 11), *on("1999-05", 17)]),
    "Every Thursday in March, forever":
        ("19970313T090000", "FREQ=YEARLY;BYMONTH=3;BYDAY=TH",
         [*on("1997-03", 13, 20, 27), *on("1998-03", 5, 12, 19, 26),
          *on("1999-03", 4, 11, 18, 25)]),
    "Every Thursday, but only during June, July, and August, forever":
        ("19970605T090000", "FREQ=YEARLY;BYDAY=TH;BYMONTH=6,7,8",
         [*on("1997-06", 5, 12, 19, 26), *on("1997-07", 3, 10, 17, 24, 31),
          *on("1997-08", 7, 14, 21, 28), *on("1998-06", 4, 11, 18, 25),
          *on("1998-07", 2, 9, 16, 23, 30), *on("1998-08", 6, 13, 20, 27)]),
    "The first Saturday that follows the first Sunday of the month, forever":
        ("19970913T090000", "FREQ=MONTHLY;BYDAY=SA;BYMONTHDAY=7,8,9,10,11,12,13",
         [*on("1997-09", 13), *on("1997-10", 11), *on("1997-11", 8), *on("1997-12", 13),
          *on("1998-01", 10), *on("1998-02", 7), *on("1998-03", 7), *on("1998-04", 11),
          *on("1998-05", 9), *on("1998-06", 13)]),
    "Every 4 years, the first Tuesday after a Monday in November, forever":
        ("19961105T090000", "FREQ=YEARLY;INTERVAL=4;BYMONTH=11;BYDAY=TU;BYMONTHDAY=2,3,4,5,6,7,8",
         [*on("1996-11", 5), *on("2000-11", 7), *on("2004-11", 2)]),
    "The third instance into the month of one of Tuesday, Wednesday, or Thursday":
        ("19970904T090000", "FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3",
         [*on("1997-09", 4), *on("1997-10", 7), *on("1997-11", 6)]),
    "The second-to-last weekday of the month":
        ("19970929T090000", "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2",
         [*on("1997-09", 29), *on("1997-10", 30), *on("1997-11", 27), *on("1997-12", 30),
          *on("1998-01", 29), *on("1998-02", 26), *on("1998-03", 30)]),
    # The RFC prints UNTIL=19970902T170000Z, which is 1 PM in New York and leaves 3 PM out; "5 PM"
    # of its title is 21:00 UTC, and that is what is checked here.
    "Every 3 hours from 9:00 AM to 5:00 PM on a specific day":
        ("19970902T090000", "FREQ=HOURLY;INTERVAL=3;UNTIL=19970902T210000Z",
         at("1997-09-02", "09:00", "12:00", "15:00")),
    "Every 15 minutes for 6 occurrences":
        ("19970902T090000", "FREQ=MINUTELY;INTERVAL=15;COUNT=6",
         at("1997-09-02", "09:00", "09:15", "09:30", "09:45", "10:00", "10:15")),
    "Every hour and a half for 4 occurrences":
        ("19970902T090000", "FREQ=MINUTELY;INTERVAL=90;COUNT=4",
         at("1997-09-02", "09:00", "10:30", "12:00", "13:30")),
    "Every 20 minutes from 9:00 AM to 4:40 PM every day, by the day":
        ("19970902T090000",
         "FREQ=DAILY;BYHOUR=9,10,11,12,13,14,15,16;BYMINUTE=0,20,40",
         [*every_20_minutes("1997-09-02"), *every_20_minutes("1997-09-03")]),
    "Every 20 minutes from 9:00 AM to 4:40 PM every day, by the minute":
        ("19970902T090000", "FREQ=MINUTELY;INTERVAL=20;BYHOUR=9,10,11,12,13,14,15,16",
         [*every_20_minutes("1997-09-02"), *every_20_minutes("1997-09-03")]),
    "Where the start of the week makes a difference, Monday":
        ("19970805T090000", "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO",
         on("1997-08", 5, 10, 19, 24)),
    "Where the start of the week makes a difference, Sunday":
        ("19970805T090000", "FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU",
         on("1997-08", 5, 17, 19, 31)),
    "An invalid date (February 30) is ignored":
        ("20070115T090000", "FREQ=MONTHLY;BYMONTHDAY=15,30;COUNT=5",
         [*on("2007-01", 15, 30), *on("2007-02", 15), *on("2007-03", 15, 30)]),
}  # fmt: skip


def quiet_days(folder: Path, event: str, dates: list[date]) -> list[Day]:
    """The days of a stall that is open around the clock on `dates`, beside the event."""
    (folder / "talks.ics").write_text(
        "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//Osierholt//Talks//EN\nBEGIN:VEVENT\nUID:1\n"
        f"DTSTAMP:19970101T000000Z\n{event}\nSUMMARY:Talk\nEND:VEVENT\nEND:VCALENDAR\n"
    )
    found: list[Day] = []
    for first in range(0, len(dates), 60):
        days = "\n".join(
            f"  - {{date: {day}, opens: 0:00, closes: 24:00}}" for day in dates[first : first + 60]
        )
        (folder / "stall.yaml").write_text(
            "fair: Osierholt Curiosity Fair\nstall: The Tin Orchard\nfigure: Barnaby Rook\n"
            "timezone: America/New_York\npieces: [{name: Frost Bells, lasts: 4 min}]\n"
            f"quiet: [{{why: a talk, calendar: talks.ics}}]\ndays:\n{days}\n"
        )
        found += load_stall(folder / "stall.yaml").days
    return found


def told(days: list[Day]) -> list[str]:
    return [f"{day.local(quiet.span.start):%Y-%m-%d %H:%M}" for day in days for quiet in day.quiet]


def around(expected: list[str]) -> list[date]:
    """Every day from before the first to after the last, or, over years, those around each."""
    dates = sorted({date.fromisoformat(moment[:10]) for moment in expected})
    span = (dates[-1] - dates[0]).days
    if span <= 180:
        # The day after the last one listed says whether the rule ends; one that goes on for ever
        # may have the next there, so it is left out.
        return [dates[0] + timedelta(days=n) for n in range(-1, span + 1)]
    near = {day + timedelta(days=n) for day in dates for n in (-7, -2, -1, 0, 1, 2, 7)}
    return sorted(day for day in near if day <= dates[-1])


@pytest.mark.parametrize(("start", "rule", "expected"), EXAMPLES.values(), ids=EXAMPLES)
def test_repeats_as_the_standard_lists_it(
    tmp_path: Path, start: str, rule: str, expected: list[str]
) -> None:
    event = f"DTSTART;TZID=America/New_York:{start}\nDURATION:PT10M\nRRULE:{rule}"
    days = quiet_days(tmp_path, event, around(expected))
    assert told(days) == expected


@pytest.mark.parametrize("name", [name for name, example in EXAMPLES.items()
                                  if "COUNT" in example[1] or "UNTIL" in example[1]])  # fmt: skip
def test_a_counted_rule_ends_where_the_standard_says(tmp_path: Path, name: str) -> None:
    start, rule, expected = EXAMPLES[name]
    last = date.fromisoformat(expected[-1][:10])
    event = f"DTSTART;TZID=America/New_York:{start}\nDURATION:PT10M\nRRULE:{rule}"
    after = [last + timedelta(days=n) for n in (1, 2, 7, 14, 28, 31, 365, 366, 730)]
    assert told(quiet_days(tmp_path, event, after)) == []


def test_every_friday_the_13th_but_not_the_first_date(tmp_path: Path) -> None:
    """The standard's example of EXDATE: the start is no Friday and is taken out again."""
    event = (
        "DTSTART;TZID=America/New_York:19970902T090000\nDURATION:PT10M\n"
        "EXDATE;TZID=America/New_York:19970902T090000\n"
        "RRULE:FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13"
    )
    expected = [*on("1998-02", 13), *on("1998-03", 13), *on("1998-11", 13), *on("1999-08", 13),
                *on("2000-10", 13)]  # fmt: skip
    days = quiet_days(tmp_path, event, sorted({date(1997, 9, 2), *around(expected)}))
    assert told(days) == expected


def test_an_event_keeps_its_local_time_when_clocks_change(tmp_path: Path) -> None:
    """RFC 5545, 3.8.5.3: daily at 9:00 is 13:00 UTC in EDT and 14:00 UTC in EST (25/26 October)."""
    event = "DTSTART;TZID=America/New_York:19970902T090000\nDURATION:PT1H\nRRULE:FREQ=DAILY"
    days = quiet_days(tmp_path, event, [date(1997, 10, 25), date(1997, 10, 26)])
    hours = [quiet.span.start.hour for day in days for quiet in day.quiet]
    assert hours == [13, 14]
    local = [quiet.span.start.astimezone(NEW_YORK) for day in days for quiet in day.quiet]
    assert local == [datetime(1997, 10, day, 9, tzinfo=NEW_YORK) for day in (25, 26)]
