"""Days as people type them: `tomorrow`, `sat and sun`, `13-14 Feb`, `2027-02-13`, `13.2.`"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from showtime.settings.newstall.values import AnswerError

MOST_DAYS = 60
_ONE = timedelta(days=1)
_WEEK = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_YEAR = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september",
    "october", "november", "december",
)  # fmt: skip
_WEEKDAY = r"(?:mon|tues?|wed(?:nes)?|thu(?:rs?)?|fri|sat(?:ur)?|sun)(?:day)?s?\b\.?"
_MONTH = (
    r"(?:jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?"
    r"|sept?(?:ember)?|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)\b\.?"
)
_NTH = r"\d{1,2}(?:st|nd|rd|th)?"
_THAT_YEAR = r"(?:,?\s+(?P<{}>(?:19|20|21)\d\d)(?!\s?(?:-|to\b)\s?\d{{4}}))?"
_TO = r"\s?(?:-|\bto\b|\btill?\b|\buntil\b)\s?"
_AND = r"\s?(?:,|&|\+|\band\b)\s?"
_ITEM = rf"(?:{_WEEKDAY},?\s+)?(?:the\s+)?{_NTH}\.?"
# A list does not begin with the end of some hours: "10-17, 14 Feb".
_LIST = rf"(?<![-:.])(?<![-:.]\s)(?<!to\s)(?<!till\s)(?<!until\s)\b{_ITEM}(?:{_AND}{_ITEM})+"
_DATE = re.compile(
    rf"(?P<row>{_LIST}|(?<![:.])\b{_ITEM}(?:{_TO}{_ITEM})?)\s?(?:of\s+)?"
    rf"(?P<month>{_MONTH}){_THAT_YEAR.format('year')}"
    rf"|(?P<before>{_WEEKDAY},?\s+)?(?P<month2>{_MONTH})\s+"
    rf"(?P<row2>{_NTH}(?:{_TO}{_NTH}|\s?(?:&|\band\b)\s?{_NTH})*)(?![:.h]\d)"
    rf"{_THAT_YEAR.format('year2')}"
    r"|\b(?P<iso>\d{4}[-/.]\d{1,2}[-/.]\d{1,2})\b"
    r"|\b(?P<figures>\d{1,2}(?P<sign>[-/.])\d{1,2}(?:(?P=sign)\d{4}|(?P=sign)\d\d|(?<=\d)\.(?!\d)"
    r"|(?<=/\d)|(?<=/\d\d))(?!\d))"
    r"|\b(?P<word>day after tomorrow|tomorrow|today)\b"
    r"|\b(?:(?:this|next)\s+)?(?P<weekend>weekend)\b"
    rf"|\b(?:(?:this|next|on)\s+)?(?P<weekday>{_WEEKDAY})",
    re.IGNORECASE,
)


WORDS = (*_WEEK, *_YEAR, "today", "tomorrow", "weekend")
"""Words that name a day, or a part of one's name."""


@dataclass(frozen=True, slots=True)
class Dated:
    """Where in a text some days stand, and which they are."""

    start: int
    end: int
    days: tuple[date, ...]


def dates_in(text: str, today: date) -> tuple[Dated, ...]:
    """All days that a text names, those without a year from `today` on.

    Raises AnswerError for one that is not in the calendar, or may be two.
    """
    found: list[Dated] = []
    for match in _DATE.finditer(text):
        joined = found and re.fullmatch(_TO, text[found[-1].end : match.start()], re.IGNORECASE)
        since = found[-1].days[-1] if joined else today
        days = tuple(_days(match, since))
        if joined:
            before = found.pop()
            between = _through(before.days[-1], days[0], text[before.start : match.end()])
            found.append(Dated(before.start, match.end(), (*before.days, *between, *days[1:])))
        else:
            found.append(Dated(match.start(), match.end(), days))
    return tuple(found)


def _through(first: date, last: date, typed: str) -> list[date]:
    """The days after the first one up to the last."""
    length = (last - first).days
    if length <= 0:
        raise AnswerError(f"'{typed}' ends before it begins")
    if length >= MOST_DAYS:
        raise AnswerError(f"'{typed}' are {length + 1} days; there may be {MOST_DAYS} at most")
    return [first + _ONE * number for number in range(1, length + 1)]


def _days(match: re.Match[str], since: date) -> Iterator[date]:
    part = {name: value.lower() for name, value in match.groupdict().items() if value}
    typed = match[0].strip()
    if "iso" in part:
        year, month, day = map(int, re.findall(r"\d+", part["iso"]))
        yield _on(year, month, day, typed)
    elif "figures" in part:
        yield _figures(part["figures"], part["sign"], since)
    elif "word" in part:
        yield since + _ONE * ("today", "tomorrow", "day after tomorrow").index(part["word"])
    elif "weekend" in part:
        saturday = _coming(5, since)
        yield from (saturday, saturday + _ONE)
    elif "weekday" in part:
        yield _coming(_weekday(part["weekday"]), since)
    elif "month" in part:
        yield from _row(part["row"], part["month"], part.get("year"), since)
    else:
        yield from _row(
            part.get("before", "") + part["row2"], part["month2"], part.get("year2"), since
        )


def _row(row: str, month: str, year: str | None, since: date) -> Iterator[date]:
    """The days of one month: `sat 13 and sun 14`, `13-15`."""
    number = next(n for n, name in enumerate(_YEAR, 1) if name.startswith(month.rstrip(".")[:3]))
    pattern = rf"(?P<to>{_TO})?(?:(?P<weekday>{_WEEKDAY}),?\s+)?(?P<day>\d{{1,2}})"
    last: date | None = None
    for item in re.finditer(pattern, row):
        typed = f"{int(item['day'])} {_YEAR[number - 1].title()}"
        if year:
            day = _on(int(year), number, int(item["day"]), f"{typed} {year}")
        else:
            day = _next(number, int(item["day"]), since if last is None else last, typed)
        if item["weekday"] and day.weekday() != _weekday(item["weekday"]):
            raise AnswerError(f"{typed} {day.year} is a {day:%A}, not a {_named(item['weekday'])}")
        if item["to"] and last:
            yield from _through(last, day, row)
        else:
            yield day
        last = day


def _figures(figures: str, sign: str, since: date) -> date:
    """13.2. and 13.2.2027 are in February; 3/4 may be in March or April, and is asked about."""
    first, second, *rest = map(int, re.findall(r"\d+", figures))
    if sign != "." and first <= 12 and second <= 12 and first != second:
        raise AnswerError(
            f"'{figures}' may be {first} {_YEAR[second - 1].title()} or"
            f" {second} {_YEAR[first - 1].title()}; write the month as a word"
        )
    day, month = (second, first) if sign != "." and second > 12 else (first, second)
    if not rest:
        return _next(month, day, since, figures)
    return _on(rest[0] + (2000 if rest[0] < 100 else 0), month, day, figures)


def _on(year: int, month: int, day: int, typed: str) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        raise AnswerError(f"there is no {typed} in the calendar") from None


def _next(month: int, day: int, since: date, typed: str) -> date:
    """The first such day that is not before `since`; leap years are eight years apart at most."""
    for year in range(since.year, since.year + 9):
        try:
            found = date(year, month, day)
        except ValueError:
            continue
        if found >= since:
            return found
    raise AnswerError(f"there is no {typed} in the calendar")


def _coming(weekday: int, since: date) -> date:
    return since + _ONE * ((weekday - since.weekday()) % 7)


def _weekday(word: str) -> int:
    return next(n for n, name in enumerate(_WEEK) if name.startswith(word[:3].lower()))


def _named(word: str) -> str:
    return _WEEK[_weekday(word)].title()
