"""How Italian tells the time: in everyday speech, by the 24-hour clock, and as some regions do."""

from __future__ import annotations

from datetime import datetime

from showtime.wording.clock import Told
from showtime.wording.errors import UnknownLanguageError
from showtime.wording.languages.italian_reader import told


def _list(words: str) -> list[str]:
    return words.split()


_ONES = _list(
    "zero uno due tre quattro cinque sei sette otto nove dieci undici dodici tredici quattordici "
    "quindici sedici diciassette diciotto diciannove"
)
_TENS = _list("venti trenta quaranta cinquanta")


def _after_ten(ten: str, one: int) -> str:
    """The ten loses its last vowel before "uno" and "otto"; "tre" behind it has an accent."""
    stem = ten[:-1] if one in (1, 8) else ten
    return ten if one == 0 else stem + ("tré" if one == 3 else _ONES[one])


NUMBERS = tuple(_ONES + [_after_ten(ten, one) for ten in _TENS for one in range(10)])
"""0 to 59 in words; num2words says the same, and takes longer to import than a whole answer."""

_WEEKDAYS = _list("lunedì martedì mercoledì giovedì venerdì sabato domenica")
_MONTHS = _list(
    "gennaio febbraio marzo aprile maggio giugno luglio agosto settembre ottobre novembre dicembre"
)
_WHOLE = {0: "mezzanotte", 12: "mezzogiorno"}

_DAYPARTS = (
    (6, ("questa notte", "stanotte"), ""),
    (12, ("questa mattina", "stamattina"), " mattina"),
    (18, ("oggi pomeriggio", "questo pomeriggio"), " pomeriggio"),
    (24, ("questa sera", "stasera"), " sera"),
)
"""CLDR's day periods of Italian: the hour before which each ends; its words on the same date, and
behind the name of a day ("domani mattina"). The night has none there: "domenica notte" may be the
night after Sunday. "Di sera" is not said: nobody says it behind a 24-hour time."""

_DAWN = 6
"""The hour when CLDR's night ends."""

_MINUS = (20, 10, 5)
_FEW = 10


class Italian:
    """Left out, because a listener may take them for another time: "dieci alle tre" and "un quarto
    alle tre" (in noise "alle tre" alone is heard), "le ventiquattro" (which day's?), "le dodici"
    for midnight (noon to most), and "le venti e due" ("le ventidue"): that is "e due minuti".
    """

    language = "it"
    manners = ("corrente", "ufficiale", "regionale")

    def __init__(self, manners: tuple[str, ...] = ()) -> None:
        unknown = [manner for manner in manners if manner not in Italian.manners]
        if unknown:
            raise UnknownLanguageError(
                f"Italian has no {unknown[0]!r} manner: {', '.join(Italian.manners)}"
            )
        self._told_in = manners or ("corrente", "ufficiale")

    def idioms(self, hour: int, minute: int) -> tuple[str, ...]:
        ways = {"corrente": _everyday, "ufficiale": _by_timetable, "regionale": _regional}
        return tuple(
            dict.fromkeys(idiom for manner in self._told_in for idiom in ways[manner](hour, minute))
        )

    def at(self, hour: int, minute: int) -> tuple[str, ...]:
        return tuple(map(_at, self.idioms(hour, minute)))

    def it_is(self, hour: int, minute: int) -> tuple[str, ...]:
        return tuple(
            f"{'sono' if idiom.startswith('le ') else 'è'} {idiom}"
            for idiom in self.idioms(hour, minute)
        )

    def minutes(self, to_go: int) -> tuple[str, ...]:
        match to_go:
            case 0:
                return ("meno di un minuto",)
            case 1:
                return ("un minuto",)
            case 15:
                return ("un quarto d'ora", "quindici minuti")
            case 30:
                return ("mezz'ora", "trenta minuti")
            case 45:
                return ("tre quarti d'ora", "quarantacinque minuti")
        return (f"{NUMBERS[to_go]} minuti",)

    def within(self, to_go: int) -> tuple[str, ...]:
        """ "tra" and "fra" mean the same; nobody says "tra tre", "tra trenta"."""
        return tuple(
            f"{word} {words}"
            for words in self.minutes(to_go)
            for word in ("tra", "fra")
            if (word, words[:2]) != ("tra", "tr")
        )

    def dayparts(self, at: datetime, now: datetime) -> tuple[str, ...]:
        ahead = (at.date() - now.date()).days
        if at.hour in _WHOLE or (ahead == 0 and now.hour < _DAWN <= at.hour):
            return ()  # "mezzogiorno e dieci" says it; at night "stamattina" may be the one before
        return _part(at)[0] if ahead == 0 else ()  # on other days it is told by `days`

    def days(self, at: datetime, now: datetime) -> tuple[str, ...]:
        ahead = (at.date() - now.date()).days
        if ahead == 0:
            return ("oggi",)
        if 0 < ahead < 7:
            day = "domani" if ahead == 1 else _WEEKDAYS[at.weekday()]
            part = "" if at.hour in _WHOLE else _part(at)[1]
            return (day, day + part) if part else (day,)
        day = "primo" if at.day == 1 else NUMBERS[at.day]
        article = "l'" if day[0] in "ou" else "il "
        return (f"{article}{day} {_MONTHS[at.month - 1]}",)

    def told(self, text: str) -> tuple[Told, ...]:
        return told(text)


def _part(at: datetime) -> tuple[tuple[str, ...], str]:
    return next((same, named) for before, same, named in _DAYPARTS if at.hour < before)


def _at(idiom: str) -> str:
    """The article runs together with "a": "alle due", "all'una", but "a mezzogiorno"."""
    if idiom.startswith("l'"):
        return f"al{idiom}"
    return f"al{idiom}" if idiom.startswith("le ") else f"a {idiom}"


def _hours(hour: int) -> str:
    return "l'una" if hour == 1 else f"le {NUMBERS[hour]}"


def _named(hour: int) -> str:
    """The hour as everyday speech calls it: "le due" by day and by night, "mezzogiorno"."""
    return _WHOLE.get(hour % 24) or _hours(hour % 12)


def _minutes(minute: int) -> str:
    return "un minuto" if minute == 1 else NUMBERS[minute]


def _everyday(hour: int, minute: int) -> list[str]:
    this, following = _named(hour), _named(hour + 1)
    if minute == 0:
        return [this, "le dodici"] if hour == 12 else [this]
    counted, away = f"{this} e {_minutes(minute)}", 60 - minute
    match minute:
        case 15:
            return [f"{this} e un quarto", counted]
        case 30:
            return [f"{this} e {'mezzo' if hour == 12 else 'mezza'}", counted]
        case 45:
            return [f"{following} meno un quarto", counted]
    if away in _MINUS:
        return [f"{following} meno {NUMBERS[away]}", counted]
    if away == 25 or away < _FEW:
        return [counted, f"{following} meno {_minutes(away)}"]
    return [counted]


def _by_timetable(hour: int, minute: int) -> list[str]:
    if minute == 0:
        return [_WHOLE[0]] if hour == 0 else [_hours(hour)]
    unit = " minuti" if hour == 20 and 1 < minute < 5 else ""
    return [f"{_hours(hour)} e {_minutes(minute)}{unit}"]


def _regional(hour: int, minute: int) -> list[str]:
    """ "Le due e mezzo" rather than "e mezza", and "le due e tre quarti" for a quarter to three."""
    match minute:
        case 30:
            return [f"{_named(hour)} e {'mezza' if hour == 12 else 'mezzo'}"]
        case 45:
            return [f"{_named(hour)} e tre quarti"]
    return _everyday(hour, minute)
