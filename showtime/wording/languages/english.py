"""How English tells the time, in the British and in the American manner."""

from __future__ import annotations

from datetime import datetime

from showtime.wording.clock import Told
from showtime.wording.errors import UnknownLanguageError
from showtime.wording.languages.english_reader import told


def _list(words: str) -> list[str]:
    return words.split()


_ONES = _list(
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
    "fifteen sixteen seventeen eighteen nineteen"
)
_TENS = _list("twenty thirty forty fifty")
NUMBERS = tuple(
    _ONES + [ten + (f"-{_ONES[one]}" if one else "") for ten in _TENS for one in range(10)]
)
"""0 to 59 in words; num2words says the same, and takes longer to import than a whole answer."""

_FIRSTS = _list(
    "first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth "
    "thirteenth fourteenth fifteenth sixteenth seventeenth eighteenth nineteenth"
)
ORDINALS = tuple(
    [*_FIRSTS, "twentieth"]
    + [f"twenty-{first}" for first in _FIRSTS[:9]]
    + ["thirtieth", "thirty-first"]
)
"""The days of a month in words, from the first."""

_WEEKDAYS = _list("Monday Tuesday Wednesday Thursday Friday Saturday Sunday")
_MONTHS = _list(
    "January February March April May June July August September October November December"
)

_DAYPARTS = (
    (12 * 60, ("this morning", "in the morning")),
    (18 * 60, ("this afternoon", "in the afternoon")),
    (21 * 60, ("this evening", "in the evening")),
    (24 * 60, ("tonight", "at night")),
)
"""CLDR's day periods of English: minutes before which each ends, its words on the same date and
on another."""


_TAKEN_FOR_OTHERS = frozenset({13, 14, 15, 50})
"""Minutes that are not told behind their bare hour: "five fifteen" was heard as "five fifty" more
often than anything else was misheard, and "thirteen" and "fourteen" end as softly."""


class English:
    """Left out, because a listener may take them for another time: "half two" (half past one to
    a speaker of German or Dutch), "ten of two" and "ten till two" (a count, a stretch of time),
    "two fifteen" (two fifty, in a noisy hall).
    The 24-hour manner is that of timetables; before one in the afternoon it is the British one.
    "Twelve o'clock" is said of noon and of midnight as "two o'clock" is of both its hours.
    """

    language = "en"
    manners = ("british", "american", "24-hour")
    _usual = ("british", "american")

    def __init__(self, manners: tuple[str, ...] = ()) -> None:
        unknown = [manner for manner in manners if manner not in English.manners]
        if unknown:
            raise UnknownLanguageError(
                f"English has no {unknown[0]!r} manner: {', '.join(English.manners)}"
            )
        self._told_in = manners or English._usual

    def idioms(self, hour: int, minute: int) -> tuple[str, ...]:
        ways = {"british": _british, "american": _american, "24-hour": _whole_day}
        return tuple(
            dict.fromkeys(idiom for manner in self._told_in for idiom in ways[manner](hour, minute))
        )

    def at(self, hour: int, minute: int) -> tuple[str, ...]:
        return tuple(f"at {idiom}" for idiom in self.idioms(hour, minute))

    def it_is(self, hour: int, minute: int) -> tuple[str, ...]:
        return tuple(f"it is {idiom}" for idiom in self.idioms(hour, minute))

    def minutes(self, to_go: int) -> tuple[str, ...]:
        match to_go:
            case 0:
                return ("less than a minute", "under a minute")
            case 1:
                return ("a minute", "one minute")
            case 15:
                return ("fifteen minutes", "a quarter of an hour")
            case 30:
                return ("thirty minutes", "half an hour")
        return (f"{NUMBERS[to_go]} minutes",)

    def within(self, to_go: int) -> tuple[str, ...]:
        return tuple(f"in {words}" for words in self.minutes(to_go))

    def dayparts(self, at: datetime, now: datetime) -> tuple[str, ...]:
        minute = at.hour * 60 + at.minute
        if at.hour == 0 or minute == 12 * 60:
            return ()  # noon and midnight say it themselves; "twelve ten in the morning" misleads
        same, other = next(words for before, words in _DAYPARTS if minute < before)
        return (same, other) if at.date() == now.date() else (other,)

    def days(self, at: datetime, now: datetime) -> tuple[str, ...]:
        ahead = (at.date() - now.date()).days
        if ahead in (0, 1):
            return (("today", "tomorrow")[ahead],)
        if 1 < ahead < 7:
            return (f"on {_WEEKDAYS[at.weekday()]}",)
        return (f"on the {ORDINALS[at.day - 1]} of {_MONTHS[at.month - 1]}",)

    def told(self, text: str) -> tuple[Told, ...]:
        return told(text)


def _hour(hour: int) -> str:
    return NUMBERS[(hour - 1) % 12 + 1]


def _digits(hour: int, minute: int) -> list[str]:
    """ "two thirty", "two oh seven", where nobody can take it for another time."""
    if minute in _TAKEN_FOR_OTHERS:
        return []
    return [f"{_hour(hour)} {'oh ' if minute < 10 else ''}{NUMBERS[minute]}"]


def _whole_hour(hour: int) -> list[str]:
    oclock = f"{_hour(hour)} o'clock"
    return {
        0: ["midnight", oclock, "twelve midnight"],
        12: ["noon", oclock, "midday", "twelve noon"],
    }.get(hour, [oclock])


def _around(hour: int, minute: int, past: str) -> list[str]:
    """Ways that count from the nearer hour: "twenty-five to three", "seven minutes past two"."""
    away, side, named = (
        (minute, past, _hour(hour)) if minute <= 30 else (60 - minute, "to", _hour(hour + 1))
    )
    if away == 30:
        return [f"half past {named}"]
    unit = "minute" if away == 1 else "minutes"
    counted = f"{NUMBERS[away]} {unit} {side} {named}"
    if away == 15:
        return [f"quarter {side} {named}", f"a quarter {side} {named}", counted]
    if away % 5 == 0:
        return [f"{NUMBERS[away]} {side} {named}", counted]
    return [counted]


def _british(hour: int, minute: int) -> list[str]:
    if minute == 0:
        return _whole_hour(hour)
    return [*_around(hour, minute, "past"), *_digits(hour, minute)]


def _american(hour: int, minute: int) -> list[str]:
    if minute == 0:
        return [idiom for idiom in _whole_hour(hour) if idiom != "midday"]
    return [*_digits(hour, minute), *_around(hour, minute, "after")]


def _whole_day(hour: int, minute: int) -> list[str]:
    """ "fourteen thirty", "fourteen oh five"; not "fourteen hundred", which may be a number."""
    if hour <= 12 or minute == 0 or minute in _TAKEN_FOR_OTHERS:
        return _british(hour, minute)
    return [f"{NUMBERS[hour]} {'oh ' if minute < 10 else ''}{NUMBERS[minute]}"]
