"""Which times a Dutch sentence tells: the product's own listener.

It reads by its own rules, not by the tables that the idioms are made from, and hears more than
the program says: digits, "kwart na", bare hours after "om". A name that tells a time is so noticed
before it is spoken beside another.
"""

from __future__ import annotations

import re
from functools import cache
from unicodedata import normalize

from showtime.wording.clock import HALF_DAY, WHOLE_DAY, Counted, Told

_ONES = "een|één|twee|drie|vier|vijf|zes|zeven|acht|negen"
_TEENS = "tien|elf|twaalf|dertien|veertien|vijftien|zestien|zeventien|achttien|negentien"
_TENS = "twintig|dertig|veertig|vijftig"
_VALUES = {
    name: value
    for value, name in enumerate(f"{_ONES.replace('|één', '')}|{_TEENS}".split("|"), start=1)
}
_VALUES |= {name: 20 + 10 * place for place, name in enumerate(_TENS.split("|"))}
_VALUES |= {"nul": 0, "één": 1, "kwart": 15}
_SPANS = {"half_hour": 30, "three": 45, "quarter": 15, "one_and": 90, "an_hour": 60, "under": 0}


@cache
def _pattern() -> re.Pattern[str]:
    counts = rf"(?:(?:{_ONES})[eë]n)?(?:{_TENS})|{_TEENS}|{_ONES.removeprefix('een|')}|nul"
    number = rf"(?:{counts}|een|\d{{1,2}})"
    minute = rf"(?:{counts}|\d{{1,2}})"  # "om twaalf uur een lied" is no minute past
    named_hour = r"(?:één|twee|drie|vier|vijf|zes|zeven|acht|negen|tien|elf|twaalf|1[0-2]|[1-9])"
    part = r"""(?:'s\ (?:ochtends|morgens|middags|avonds|nachts)
        |(?:van|morgen|gister)(?:ochtend|morgen|middag|avond|nacht)
        |in\ de\ (?:ochtend|morgen|middag|avond|nacht)
        |[a-z]+dag(?:ochtend|morgen|middag|avond|nacht))\b"""
    closes = rf"""(?=$|\ ?[^\w\s']|\ (?:{part}|precies|stipt|exact|vandaag|morgen))"""
    hour = rf"(?:{named_hour}\b|een\b{closes})"
    return re.compile(
        rf"""(?:(?<!\w)(?P<before>{part}),?\ (?:(?:om|precies|stipt|klokslag|rond|tegen)\ )*)?
        \b(?:
        (?:(?:een\ )?(?P<away>{number}|kwart)(?:\ minu(?:ut|ten))?
            \ (?P<side>voor|over|na)\ (?P<near>half\ )?(?P<from>{hour}|middernacht\b))(?!\ minu)
        | half\ (?P<coming>{hour})(?!\ uur)
        | (?P<digits>(?<![.:\d])\d{{1,2}}(?:[:.]|\ ?[uh]\ ?)\d\d(?![.:\d]))(?:\ (?:uur|u)\b)?
        | (?P<one_and>anderhalf\ uur)
        | (?:over|binnen|nog)\ (?P<hours>{number})\ uur\b
        | (?:(?<=om\ )|(?<=half\ )|(?<=tegen\ )|(?<=klokslag\ )|(?<=het\ is\ )|(?<=rond\ ))
            (?P<one>een)\ uur\b
        | (?P<an_hour>een\ uur)
        | (?P<hour>{number})\ ?(?:uur|u)\b
            (?:\ (?:en\ )?(?:nul\ )?(?P<minute>{minute})(?:\ minu(?:ut|ten))?\b)?
        | (?P<named>middernacht|middaguur)
        | (?:(?<=om\ )|(?<=tegen\ )|(?<=klokslag\ ))(?P<bare>{hour}){closes}
        | (?P<under>(?:minder\ dan|geen\ hele|nog\ geen|amper|binnen)\ (?:een|één)\ minuut
            |geen\ hele\ minuut)
        | (?P<half_hour>half\ ?uur) | (?P<three>drie\ kwartier) | (?P<quarter>kwartier)
        | (?P<count>{number})\ min(?:uut|uten|uutje|uutjes)?
        )\b(?:,?\ (?P<after>{part})(?!\ om\b))?""",
        re.VERBOSE,
    )


def told(text: str) -> tuple[Told, ...]:
    plain = re.sub("[‘’`]", "'", " ".join(normalize("NFKC", text).lower().split())).replace(
        "eén", "één"
    )
    heard = (_heard(match) for match in _pattern().finditer(plain))
    return tuple(each for each in heard if each is not None)


def _heard(match: re.Match[str]) -> Told | None:
    for span, minutes in _SPANS.items():
        if match[span]:
            return Told(minutes, Counted.FROM_NOW)
    if match["count"] or match["hours"]:
        minutes = _value(match["count"] or match["hours"]) * (1 if match["count"] else 60)
        return Told(minutes, Counted.FROM_NOW)
    time = _clock_time(match)
    return time and _in_its_half(time, match["before"] or match["after"] or "")


def _clock_time(match: re.Match[str]) -> Told | None:
    if match["named"]:
        return Told(0 if match["named"] == "middernacht" else HALF_DAY, Counted.IN_A_DAY)
    if match["digits"]:
        hour, minute = re.split(r"[:.]| ?[uh] ?", match["digits"])
        return _by_the_hour(hour, int(minute))
    if match["hour"]:
        return _by_the_hour(match["hour"], _value(match["minute"] or "nul"))
    if match["one"] or match["bare"]:
        return _half(_value(match["one"] or match["bare"]) * 60)
    if match["coming"]:
        return _half(_value(match["coming"]) * 60 - 30)
    away = _value(match["away"]) * (-1 if match["side"] == "voor" else 1)
    if match["near"]:
        away -= 30
    if match["from"] == "middernacht":
        return Told(away % WHOLE_DAY, Counted.IN_A_DAY)
    return _half(_value(match["from"]) * 60 + away)


def _by_the_hour(hour: str, minute: int) -> Told | None:
    """Hours up to twelve leave the half of the day open, unless written "02:30"."""
    value = _value(hour)
    if value > 24 or minute > 59:
        return None
    whole = value > 12 or value == 0 or hour.startswith("0")
    minutes = value * 60 + minute
    return Told(minutes % WHOLE_DAY, Counted.IN_A_DAY) if whole else _half(minutes)


def _value(words: str) -> int:
    if words in _VALUES:
        return _VALUES[words]
    if words.isdigit():
        return int(words)
    one, ten = re.split("[eë]n(?=[tdv])", words.replace("één", "een"), maxsplit=1)
    return _VALUES[one] + _VALUES[ten]


def _half(minutes: int) -> Told:
    return Told(minutes % HALF_DAY, Counted.IN_HALF_A_DAY)


def _in_its_half(time: Told, part: str) -> Told:
    """The time in the half of the day that the words beside it name, if any.

    "elf uur 's nachts" is before midnight, "twaalf uur 's avonds" midnight itself.
    """
    if time.counted is not Counted.IN_HALF_A_DAY or not part:
        return time
    if "nacht" in part:
        late = time.minutes >= 6 * 60
    elif "avond" in part:
        late = time.minutes >= 60
    elif "middag" in part:
        late = time.minutes < 11 * 60
    else:
        late = False
    return Told(time.minutes + HALF_DAY * late, Counted.IN_A_DAY)
