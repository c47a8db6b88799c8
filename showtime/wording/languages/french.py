"""How French tells the time, in everyday speech and in the 24-hour manner of timetables."""

from __future__ import annotations

from datetime import datetime

from showtime.wording.clock import Told
from showtime.wording.errors import UnknownLanguageError
from showtime.wording.languages.french_reader import told


def _list(words: str) -> list[str]:
    return words.split()


_ONES = _list(
    "zéro un deux trois quatre cinq six sept huit neuf dix onze douze treize quatorze quinze seize "
    "dix-sept dix-huit dix-neuf"
)
_TENS = _list("vingt trente quarante cinquante")


def _after_ten(ten: str, one: int) -> str:
    return (ten, f"{ten} et un")[one] if one < 2 else f"{ten}-{_ONES[one]}"


NUMBERS = tuple(_ONES + [_after_ten(ten, one) for ten in _TENS for one in range(10)])
"""0 to 59 in words, masculine; num2words says the same, and takes longer to import than a whole
answer."""

_WEEKDAYS = _list("lundi mardi mercredi jeudi vendredi samedi dimanche")
_MONTHS = _list(
    "janvier février mars avril mai juin juillet août septembre octobre novembre décembre"
)
_WHOLE = {0: "minuit", 12: "midi"}

_DAYPARTS = ((12, "ce", "matin"), (18, "cet", "après-midi"), (24, "ce", "soir"))
"""CLDR's day periods of French: the hour before which each ends, and its words on the same date
("ce matin"), which without the first go with the name of a day ("demain matin"). "Du soir" is not
said: nobody says it behind a 24-hour time."""

_DAWN = 4
"""The hour when CLDR's night ends."""

_MINUS = (25, 20, 10, 5)
_FEW = 10


class French:
    """Left out, because a listener may take them for another time: "deux heures quart" and "moins
    quart", as in Belgium ("deux heures quatre" when spoken fast); "douze heures" ("deux heures" in
    a noisy hall), for which the timetable's manner says "midi" too; "dix à deux" (a count); a bare
    "à deux" (two of us); "vingt-quatre heures" (which day's?); "d'ici deux heures" and "dans deux
    heures" (a stretch of time). "Quatorze heures et demie" mixes two manners: nobody is taught it.
    Minutes are feminine: "deux heures vingt et une".
    """

    language = "fr"
    manners = ("courant", "officiel")

    def __init__(self, manners: tuple[str, ...] = ()) -> None:
        unknown = [manner for manner in manners if manner not in French.manners]
        if unknown:
            raise UnknownLanguageError(
                f"French has no {unknown[0]!r} manner: {', '.join(French.manners)}"
            )
        self._told_in = manners or French.manners

    def idioms(self, hour: int, minute: int) -> tuple[str, ...]:
        ways = {"courant": _everyday, "officiel": _by_timetable}
        return tuple(
            dict.fromkeys(idiom for manner in self._told_in for idiom in ways[manner](hour, minute))
        )

    def at(self, hour: int, minute: int) -> tuple[str, ...]:
        return tuple(f"à {idiom}" for idiom in self.idioms(hour, minute))

    def it_is(self, hour: int, minute: int) -> tuple[str, ...]:
        return tuple(f"il est {idiom}" for idiom in self.idioms(hour, minute))

    def minutes(self, to_go: int) -> tuple[str, ...]:
        match to_go:
            case 0:
                return ("moins d'une minute",)
            case 1:
                return ("une minute",)
            case 15:
                return ("un quart d'heure", "quinze minutes")
            case 30:
                return ("une demi-heure", "trente minutes")
            case 45:
                return ("trois quarts d'heure", "quarante-cinq minutes")
        return (f"{_feminine(to_go)} minutes",)

    def within(self, to_go: int) -> tuple[str, ...]:
        return tuple(f"dans {words}" for words in self.minutes(to_go))

    def dayparts(self, at: datetime, now: datetime) -> tuple[str, ...]:
        ahead = (at.date() - now.date()).days
        if at.hour in _WHOLE or (ahead == 0 and now.hour < _DAWN <= at.hour):
            return ()  # "midi dix" says it itself; at night "ce matin" may be the morning before
        return (" ".join(_part(at)),) if ahead == 0 else ()  # on other days it is told by `days`

    def days(self, at: datetime, now: datetime) -> tuple[str, ...]:
        ahead = (at.date() - now.date()).days
        if ahead == 0:
            return ("aujourd'hui",)
        if 0 < ahead < 7:
            day = "demain" if ahead == 1 else _WEEKDAYS[at.weekday()]
            return (day,) if at.hour in _WHOLE else (day, f"{day} {_part(at)[1]}")
        day = "premier" if at.day == 1 else NUMBERS[at.day]
        return (f"le {day} {_MONTHS[at.month - 1]}",)

    def told(self, text: str) -> tuple[Told, ...]:
        return told(text)


def _part(at: datetime) -> tuple[str, str]:
    return next((this, part) for before, this, part in _DAYPARTS if at.hour < before)


def _feminine(number: int) -> str:
    """As hours and minutes are counted: "une", "vingt et une"."""
    words = NUMBERS[number]
    return f"{words}e" if words == "un" or words.endswith(" un") else words


def _hours(hour: int) -> str:
    return f"{_feminine(hour)} {'heure' if hour < 2 else 'heures'}"


def _named(hour: int) -> str:
    """The hour as everyday speech calls it: "deux heures" by day and by night, "midi"."""
    return _WHOLE.get(hour % 24) or _hours(hour % 12)


def _everyday(hour: int, minute: int) -> list[str]:
    this, following = _named(hour), _named(hour + 1)
    counted, away = f"{this} {_feminine(minute)}", 60 - minute
    match minute:
        case 0:
            return [this]
        case 1:
            return [f"{this} et une minute", counted]
        case 15:
            return [f"{this} et quart", counted]
        case 30:
            return [f"{this} et {'demi' if hour in _WHOLE else 'demie'}", counted]
        case 45:
            return [f"{following} moins le quart", counted]
    if away in _MINUS:
        return [f"{following} moins {NUMBERS[away]}", counted]
    if away < _FEW:
        return [counted, f"{following} moins {_feminine(away)}"]
    return [counted]


def _by_timetable(hour: int, minute: int) -> list[str]:
    named = _WHOLE[12] if hour == 12 else _hours(hour)
    if minute == 0:
        return [_WHOLE[0], named] if hour == 0 else [named]
    return [f"{named} {_feminine(minute)}"]
