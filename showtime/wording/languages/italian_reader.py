"""Which times an Italian sentence tells: the product's own listener.

It reads by its own rules, not by the tables that the idioms are made from, and hears more than
the program says: digits ("14.30", "ore 14"), "dieci alle tre", "del pomeriggio", stretches of
hours. A name that tells a time is so noticed before it is spoken beside another.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache

from showtime.wording.clock import HALF_DAY, WHOLE_DAY, Counted, Told

_WORDS = (
    "zero uno due tre quattro cinque sei sette otto nove dieci undici dodici tredici "
    "quattordici quindici sedici diciassette diciotto diciannove"
)
_BELOW_TWENTY = {word: value for value, word in enumerate(_WORDS.split(" "))}
_BELOW_TWENTY |= {"un": 1, "una": 1}
_TENS = {"vent": 20, "trent": 30, "quarant": 40, "cinquant": 50}
_QUARTERS = {"un quarto": 15, "quarto": 15, "mezza": 30, "mezzo": 30, "tre quarti": 45}
_WHOLE = {"mezzogiorno": HALF_DAY, "mezzodi": HALF_DAY, "mezzanotte": 0}
_LONG = {"un quarto d'ora": 15, "mezz'ora": 30, "mezzora": 30, "tre quarti d'ora": 45, "un'ora": 60}


@cache
def _pattern() -> re.Pattern[str]:
    below = "|".join(sorted(_BELOW_TWENTY, key=len, reverse=True))
    tens = rf"(?:{'|'.join(_TENS)})(?:uno?|otto|[ai](?:due|tre|quattro|cinque|sei|sette|nove)?)"
    figures = r"(?:[01]?\d|2[0-4])"
    number = rf"(?:{tens}|{below}|\d{{1,2}})\b"
    hour = rf"(?:vent(?:i|uno?|idue|itre|iquattro)|{below}|{figures})\b"
    quarter = r"(?:tre\ quarti|(?:un\ )?quarto|mezz[ao])\b(?!\ d'ora)"
    day = r"(?:oggi|domani|ieri|lunedi|martedi|mercoledi|giovedi|venerdi|sabato|domenica)"
    names = r"(?:mattina|mattino|mattinata|pomeriggio|sera|serata|notte)"
    part = rf"""(?:(?:(?:di|del|della|nel|nella|in|questa|questo|al|alla|la|{day})\ )?{names}
        |sta(?:mattina|sera|notte)|stamani|stamane)"""
    # A plural noun behind "le due" makes it a count: "le due sorelle", "le quattro stagioni".
    sharp = r"(?:precise|esatte|spaccate|circa|passate|suonate)"
    also = rf"(?:{sharp}|{names}|{day}|stanotte|stamani|stamane|meno|ore|che)\b"
    counted = rf"(?!\ (?!{also})[a-z]{{3,}}[ei]\b)"
    whole = r"mezzogiorno|mezzodi|mezzanotte"
    return re.compile(
        rf"""(?:\b(?P<before>{part}),?\ (?:e\ |sono\ )?)?\b(?:
        (?P<under>meno)\ di\ un\ minuto
        | (?P<long>un\ quarto\ d'ora|mezz'?ora|tre\ quarti\ d'ora|un'ora)
            (?:\ e\ (?P<longer>{quarter}|{number}))?
        | (?:(?:al|dal|del|sul)?le\ )?(?:ore\ )?(?P<digits>{figures}[:.][0-5]\d)(?!\ (?:euro|€))
        | (?P<early>{number}|(?:un\ )?quarto)\ (?:alle\ |all'|a\ )(?P<to>{hour}|{whole})
        | (?:(?P<named>{whole})
            |(?:(?:d|n|su)?(?:al|el|ul)le\ (?:ore\ )?|le\ ore\ |ore\ |(?<!\w)h\ ?)(?P<hour>{hour})
            |(?:al|dal|del|l)?l'(?P<one>una)(?!\ [eo]\ l'altr)(?!\ all'altr)\b
            |le\ (?P<bare>{hour}){counted})
            (?:\ (?P<minus>meno)\ (?P<less>{quarter}|{number})
              |\ e\ (?P<past>{quarter}|{number}))?
            (?:\ minut[oi])?
        | (?P<hours>{number})\ ore(?:\ e\ (?P<more>{quarter}|{number}))?
        | (?P<count>{number})\ minut[oi]
        )(?!\w)(?(before)|(?:,?\ (?P<after>{part})\b)?)""",
        re.VERBOSE,
    )


def told(text: str) -> tuple[Told, ...]:
    return tuple(_heard(match) for match in _pattern().finditer(_plain(text)))


def _plain(text: str) -> str:
    """Lower case without accents; "14.30" stays, for the digits name hour and minute."""
    parted = unicodedata.normalize("NFD", text.lower().replace("’", "'"))
    return " ".join("".join(c for c in parted if not unicodedata.combining(c)).split())


def _heard(match: re.Match[str]) -> Told:
    if match["under"]:
        return Told(0, Counted.FROM_NOW)
    if match["long"]:
        more = _value(match["longer"] or "zero")
        return Told(_LONG[match["long"]] + more, Counted.FROM_NOW)
    if match["count"]:
        return Told(_value(match["count"]), Counted.FROM_NOW)
    if match["hours"]:
        minutes = _value(match["hours"]) * 60 + _value(match["more"] or "zero")
        return Told(minutes, Counted.FROM_NOW)
    return _in_its_half(_clock_time(match), match["before"] or match["after"])


def _clock_time(match: re.Match[str]) -> Told:
    if match["digits"]:
        hour, minute = (int(part) for part in re.split("[:.]", match["digits"]))
        return _told(hour, minute, whole=match["digits"].startswith("0"))
    if match["early"]:
        name, away = match["to"], -_value(match["early"])
    else:
        name = match["named"] or match["hour"] or match["bare"] or match["one"]
        away = -_value(match["less"]) if match["minus"] else _value(match["past"] or "zero")
    if name in _WHOLE:
        return Told((_WHOLE[name] + away) % WHOLE_DAY, Counted.IN_A_DAY)
    return _told(_value(name), away, whole=name.startswith("0"))


def _told(hour: int, minute: int, *, whole: bool) -> Told:
    """From noon on, hours are counted through: only 1 to 11 are of either half of the day."""
    if whole or hour == 0 or hour >= 12:
        return Told((hour * 60 + minute) % WHOLE_DAY, Counted.IN_A_DAY)
    return Told((hour * 60 + minute) % HALF_DAY, Counted.IN_HALF_A_DAY)


def _value(words: str) -> int:
    if words in _QUARTERS:
        return _QUARTERS[words]
    if words in _BELOW_TWENTY:
        return _BELOW_TWENTY[words]
    if words.isdigit():
        return int(words)
    stem = next(stem for stem in _TENS if words.startswith(stem))
    rest = words.removeprefix(stem).lstrip("ai")
    return _TENS[stem] + _BELOW_TWENTY.get(rest, 0)


def _in_its_half(time: Told, part: str | None) -> Told:
    """The time in the half of the day that the words beside it name, if any."""
    if time.counted is not Counted.IN_HALF_A_DAY or not part:
        return time
    late = time.minutes >= 6 * 60 if "nott" in part else "mattin" not in part
    if "stama" in part:
        late = False
    return Told(time.minutes + HALF_DAY * late, Counted.IN_A_DAY)
