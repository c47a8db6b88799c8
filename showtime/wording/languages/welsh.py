"""How Welsh tells the time: minutes counted by twenties, "wedi" (past) and "i" (to) the hour.

The forms of the five-minute times are those of en.wikibooks.org, "Welsh/Mynediad/Lesson 8"; the
numbers, days and day periods are checked against num2words and CLDR. From memory: the genders of
"munud", "deng" before it, ordinals where num2words differs, and decimal counting above thirty.
"""

from __future__ import annotations

from datetime import datetime

from showtime.wording.clock import Told
from showtime.wording.errors import UnknownLanguageError
from showtime.wording.languages.welsh_reader import told

_MASCULINE = {1: "un", 2: "dau", 3: "tri", 4: "pedwar", 5: "pump", 6: "chwech", 7: "saith"}
_MASCULINE |= {8: "wyth", 9: "naw", 10: "deg", 12: "deuddeg", 15: "pymtheg", 18: "deunaw"}
_MASCULINE |= {20: "ugain"}
_FEMININE = _MASCULINE | {2: "dwy", 3: "tair", 4: "pedair"}
_BEFORE_A_NOUN = {"pump": "pum", "chwech": "chwe"}
_ON = ((20, "ar hugain"), (15, "ar bymtheg"), (10, "ar ddeg"))
_TENS = {30: "tri deg", 40: "pedwar deg", 50: "pum deg"}


def _list(words: str) -> tuple[str, ...]:
    return tuple(words.split(", "))


ORDINALS = _list(
    "cyntaf, ail, trydydd, pedwerydd, pumed, chweched, seithfed, wythfed, nawfed, degfed, "
    "unfed ar ddeg, deuddegfed, trydydd ar ddeg, pedwerydd ar ddeg, pymthegfed, unfed ar bymtheg, "
    "ail ar bymtheg, deunawfed, pedwerydd ar bymtheg, ugeinfed, unfed ar hugain, ail ar hugain, "
    "trydydd ar hugain, pedwerydd ar hugain, pumed ar hugain, chweched ar hugain, "
    "seithfed ar hugain, wythfed ar hugain, nawfed ar hugain, degfed ar hugain, "
    "unfed ar ddeg ar hugain"
)
"""The days of a month in words, from the first."""

_WEEKDAYS = _list("Llun, Mawrth, Mercher, Iau, Gwener, Sadwrn, Sul")
_MONTHS = _list(
    "Ionawr, Chwefror, Mawrth, Ebrill, Mai, Mehefin, Gorffennaf, Awst, Medi, Hydref, Tachwedd, "
    "Rhagfyr"
)

_DAYPARTS = (
    (12, ("y bore yma", "y bore")),
    (18, ("y prynhawn yma", "y prynhawn")),
    (24, ("heno", "yr hwyr")),
)
"""CLDR's day periods of Welsh: hours before which each ends, its words on the same date and on
another."""

_SOFT = {"p": "b", "t": "d", "c": "g", "b": "f", "d": "dd", "g": "", "m": "f"}
_SOFT |= {"ll": "l", "rh": "r", "ch": "ch", "th": "th"}


def softened(words: str) -> str:
    """With its first letter in the soft mutation: "am" makes "dau o'r gloch" "ddau o'r gloch"."""
    first = next((letters for letters in (words[:2], words[:1]) if letters in _SOFT), "")
    return _SOFT.get(first, "") + words[len(first) :]


class Welsh:
    """ "Munud" is feminine in the south, masculine in the north. Left out: hours above twelve and
    minutes read off a display, which few say and which are soon taken for a count of something.
    """

    language = "cy"
    manners = ("southern", "northern")

    def __init__(self, manners: tuple[str, ...] = ()) -> None:
        unknown = [manner for manner in manners if manner not in Welsh.manners]
        if unknown:
            raise UnknownLanguageError(
                f"Welsh has no {unknown[0]!r} manner: {', '.join(Welsh.manners)}"
            )
        self._told_in = manners or ("southern",)

    def idioms(self, hour: int, minute: int) -> tuple[str, ...]:
        if minute == 0:
            return _whole_hour(hour)
        if minute <= 30:
            away, side = minute, f"wedi {_hour(hour)}"
        else:
            away, side = 60 - minute, f"i {softened(_hour(hour + 1))}"
        return tuple(f"{words} {side}" for words in self._away(away))

    def at(self, hour: int, minute: int) -> tuple[str, ...]:
        return tuple(f"am {softened(idiom)}" for idiom in self.idioms(hour, minute))

    def it_is(self, hour: int, minute: int) -> tuple[str, ...]:
        return tuple(f"mae hi'n {softened(idiom)}" for idiom in self.idioms(hour, minute))

    def minutes(self, to_go: int) -> tuple[str, ...]:
        lengths = {15: ("chwarter awr",), 30: ("hanner awr",), 45: ("tri chwarter awr",)}
        if to_go == 0:
            return ("llai na munud",)
        return (*self._counted(to_go), *lengths.get(to_go, ()))

    def within(self, to_go: int) -> tuple[str, ...]:
        return tuple(
            f"{near} {words}" for near in ("mewn", "ymhen") for words in self.minutes(to_go)
        )

    def dayparts(self, at: datetime, now: datetime) -> tuple[str, ...]:
        if at.hour == 0 or (at.hour, at.minute) == (12, 0):
            return ()  # noon and midnight say it themselves; half past twelve "y bore" misleads
        same, other = next(words for before, words in _DAYPARTS if at.hour < before)
        return (same, other) if at.date() == now.date() else (other,)

    def days(self, at: datetime, now: datetime) -> tuple[str, ...]:
        ahead = (at.date() - now.date()).days
        if ahead in (0, 1):
            return (("heddiw", "yfory")[ahead],)
        if 1 < ahead < 7:
            return (f"ddydd {_WEEKDAYS[at.weekday()]}",)
        ordinal = ORDINALS[at.day - 1]
        article = "yr" if ordinal[0] in "aeiouwy" else "y"
        return (f"ar {article} {ordinal} o {softened(_MONTHS[at.month - 1].lower()).capitalize()}",)

    def told(self, text: str) -> tuple[Told, ...]:
        return told(text)

    def _away(self, minutes: int) -> tuple[str, ...]:
        """From the hour named: "hanner awr", "chwarter", "pum munud ar hugain"."""
        named = {15: ("chwarter",), 30: ("hanner awr",)}
        return named.get(minutes) or self._counted(minutes)

    def _counted(self, minutes: int) -> tuple[str, ...]:
        ways = (_minutes(minutes, feminine=manner == "southern") for manner in self._told_in)
        return tuple(dict.fromkeys(words for way in ways for words in way))


def _hour(hour: int) -> str:
    hour = (hour - 1) % 12 + 1
    return "un ar ddeg" if hour == 11 else _MASCULINE[hour]


def _whole_hour(hour: int) -> tuple[str, ...]:
    """At midnight no "deuddeg o'r gloch": with "yfory" most listeners take it for noon."""
    oclock = f"{_hour(hour)} o'r gloch"
    named = {0: ("hanner nos", "canol nos"), 12: ("hanner dydd", oclock, "canol dydd")}
    return named.get(hour, (oclock,))


def _minutes(number: int, *, feminine: bool) -> tuple[str, ...]:
    """The noun stands within the number: "dwy funud ar hugain" is two minutes on twenty."""
    if number > 30:
        tens, one = _TENS[number // 10 * 10], number % 10
        return (f"{tens} {_MASCULINE[one]} o funudau" if one else f"{tens} munud",)
    numbers, base, on = (_FEMININE if feminine else _MASCULINE), 0, ""
    if number not in numbers:
        base, on = next(
            (base, on) for base, on in _ON if number - base in numbers and base < number
        )
    word = numbers[number - base]
    noun = "funud" if word in ("dau", "dwy") or (word == "un" and feminine) else "munud"
    words = [_BEFORE_A_NOUN.get(word, word)] + ["deng"] * (word == "deg")
    return tuple(f"{each} {noun} {on}".rstrip() for each in words)
