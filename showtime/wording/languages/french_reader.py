"""Which times a French sentence tells: the product's own listener.

It reads by its own rules, not by the tables that the idioms are made from, and hears more than
the program says: digits ("14 h 30"), "et quart" behind any hour, "trois quarts", stretches of
hours, "du soir". A name that tells a time is so noticed before it is spoken beside another.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache

from showtime.wording.clock import HALF_DAY, WHOLE_DAY, Counted, Told

_TEENS = r"dix\ sept|dix\ huit|dix\ neuf|onze|douze|treize|quatorze|quinze|seize|dix"
_ONES = "une?|deux|trois|quatre|cinq|six|sept|huit|neuf"
_TENS = "vingt|trente|quarante|cinquante"
_VALUES = {"un": 1, "une": 1, "deux": 2, "trois": 3, "quatre": 4, "cinq": 5, "six": 6, "sept": 7}
_VALUES |= {"huit": 8, "neuf": 9, "dix": 10, "onze": 11, "douze": 12, "treize": 13, "et": 0}
_VALUES |= {"quatorze": 14, "quinze": 15, "seize": 16, "vingt": 20, "trente": 30, "zero": 0}
_VALUES |= {"quarante": 40, "cinquante": 50}
_QUARTERS = {
    "quart": 15,
    "un quart": 15,
    "le quart": 15,
    "demi": 30,
    "demie": 30,
    "trois quarts": 45,
}
_WHOLE = {"midi": HALF_DAY, "minuit": 0}
_LONG = {"un quart": 15, "une demi": 30, "trois quarts": 45}


@cache
def _pattern() -> re.Pattern[str]:
    figures = r"(?:[01]?\d|2[0-4])"
    number = rf"(?:(?:{_TENS})(?:\ et)?\ (?:{_ONES})|{_TENS}|{_TEENS}|{_ONES}|zero|\d{{1,2}})\b"
    hour = rf"(?:vingt(?:\ et\ une|\ deux|\ trois|\ quatre)?|{_TEENS}|{_ONES}|zero|{figures})"
    quarter = r"(?:(?:un\ |le\ )?quart|demie?|trois\ quarts)(?!\ d')"
    day = r"(?:demain|hier|lundi|mardi|mercredi|jeudi|vendredi|samedi|dimanche)"
    part = rf"""(?:(?:(?:ce|du|le|au|dans\ le|{day})\ )?(?:matin|soir)
        |(?:(?:de\ |dans\ )?l'|cet\ |{day}\ )?apresmidi|(?:cette|de\ la|la)\ nuit
        |(?:dans|de)\ la\ (?:matinee|soiree))"""
    return re.compile(
        rf"""(?:\b(?P<before>{part}),?\ (?:vers\ |des\ |a\ |il\ est\ )?)?\b(?:
        (?P<under>moins)\ d'une\ minute
        | (?P<long>un\ quart|une\ demi|trois\ quarts)\ (?:d')?heure
        | (?P<for>dans|depuis|pendant|durant|il\ y\ a|d'ici|toutes\ les)\ (?P<hours>{number})
            \ heures?(?:\ (?:et\ )?(?P<more>{quarter}|{number}))?
        | (?:(?P<named>midi|minuit)|(?P<hour>{hour})\ ?h(?:eures?)?(?![a-z]))
            (?:\ (?P<minus>moins)\ (?P<less>{quarter}|{number})(?!\ heures?)
              |\ ?(?:et\ )?(?P<past>{quarter}|{number})(?!\ heures?))?
            (?:\ minutes?)?
        | (?P<digits>{figures}:[0-5]\d)
        | (?P<count>{number})\ (?:petites?\ )?minutes?
        )\b(?(before)|(?:,?\ (?P<after>{part})\b)?)""",
        re.VERBOSE,
    )


def told(text: str) -> tuple[Told, ...]:
    return tuple(_heard(match) for match in _pattern().finditer(_plain(text)))


def _plain(text: str) -> str:
    """Lower case without accents, hyphens between words as spaces, "après-midi" as one word."""
    parted = unicodedata.normalize("NFD", text.lower().replace("’", "'"))
    bare = "".join(sign for sign in parted if not unicodedata.combining(sign))
    bare = re.sub(r"\b(apres|avant)[- ]midi\b", r"\1midi", bare)
    return " ".join(re.sub(r"(?<=[a-z])-(?=[a-z])", " ", bare).split())


def _heard(match: re.Match[str]) -> Told:
    if match["under"]:
        return Told(0, Counted.FROM_NOW)
    if match["long"]:
        return Told(_LONG[match["long"]], Counted.FROM_NOW)
    if match["count"]:
        return Told(_value(match["count"]), Counted.FROM_NOW)
    if match["for"]:
        minutes = _value(match["hours"]) * 60 + _value(match["more"] or "zero")
        return Told(minutes, Counted.FROM_NOW)
    return _in_its_half(_clock_time(match), match["before"] or match["after"])


def _clock_time(match: re.Match[str]) -> Told:
    if match["digits"]:
        hour, minute = (int(part) for part in match["digits"].split(":"))
        return _told(hour, minute, whole=match["digits"].startswith("0"))
    away = -_value(match["less"]) if match["minus"] else _value(match["past"] or "zero")
    if match["named"]:
        return Told((_WHOLE[match["named"]] + away) % WHOLE_DAY, Counted.IN_A_DAY)
    hour = _value(match["hour"])
    return _told(hour, away, whole=match["hour"].startswith("0"))


def _told(hour: int, minute: int, *, whole: bool) -> Told:
    """From noon on, hours are counted through: only 1 to 11 are of either half of the day."""
    if whole or hour == 0 or hour >= 12:
        return Told((hour * 60 + minute) % WHOLE_DAY, Counted.IN_A_DAY)
    return Told((hour * 60 + minute) % HALF_DAY, Counted.IN_HALF_A_DAY)


def _value(words: str) -> int:
    if words in _QUARTERS:
        return _QUARTERS[words]
    return int(words) if words.isdigit() else sum(_VALUES[word] for word in words.split())


def _in_its_half(time: Told, part: str | None) -> Told:
    """The time in the half of the day that the words beside it name, if any."""
    if time.counted is not Counted.IN_HALF_A_DAY or not part:
        return time
    late = time.minutes >= 6 * 60 if "nuit" in part else "matin" not in part
    return Told(time.minutes + HALF_DAY * late, Counted.IN_A_DAY)
