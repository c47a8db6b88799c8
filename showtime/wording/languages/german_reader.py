"""Which times a German sentence tells: the product's own listener.

It reads by its own rules, not by the tables that the idioms are made from, and hears more than
the program says: digits, "viertel drei", "zwo", bare hours after "um". A name that tells a time is
so noticed before it is spoken beside another.
"""

from __future__ import annotations

import re
from functools import cache
from unicodedata import normalize

from showtime.wording.clock import HALF_DAY, WHOLE_DAY, Counted, Told

_ONES = "ein|zwei|drei|vier|fünf|sechs|sieben|acht|neun"
_TEENS = "zehn|elf|zwölf|dreizehn|vierzehn|fünfzehn|sechzehn|siebzehn|achtzehn|neunzehn"
_TENS = "zwanzig|dreißig|vierzig|fünfzig"
_VALUES = {name: value for value, name in enumerate(f"{_ONES}|{_TEENS}".split("|"), start=1)}
_VALUES |= {name: 20 + 10 * place for place, name in enumerate(_TENS.split("|"))}
_VALUES |= {"null": 0, "eins": 1, "eine": 1, "einer": 1, "einen": 1}
_VALUES |= {"viertel": 15, "dreiviertel": 45, "halb": 30}
_WHOLE = {"mitternacht": 0, "mittag": HALF_DAY}
_SPELLINGS = (
    ("dreissig", "dreißig"),
    ("fuenf", "fünf"),
    ("zwoelf", "zwölf"),
    (r"zwo\b", "zwei"),
    (r"drei[ -]viertel(?=\ ?(?:stunde|eins\b|zwei|drei|vier|fünf|s|acht|neun|zehn|elf|zwölf))",
     "dreiviertel"),
)  # fmt: skip


@cache
def _pattern() -> re.Pattern[str]:
    counts = rf"(?:(?:{_ONES})und)?(?:{_TENS})|{_TEENS}|eins|{_ONES.removeprefix('ein|')}"
    number = rf"(?:{counts}|ein|null|\d{{1,2}})"
    minute = rf"(?:{counts}|null|\d{{1,2}})"  # "um zwölf Uhr ein Lied" is no minute past
    hour = r"(?:eins|zwei|drei|vier|fünf|sechs|sieben|acht|neun|zehn|elf|zwölf|1[0-2]|[1-9])\b"
    named = r"(?:mitternacht|mittag)"
    half_hour = r"(?:halb|viertel|dreiviertel)"
    part = r"""(?:(?:heute|morgen|übermorgen|am|[a-zä]+tag)\ (?:früh|morgen|vormittag|mittag
        |nachmittag|abend|nacht)|in\ der\ (?:früh|nacht)
        |morgens|vormittags|mittags|nachmittags|abends|nachts)\b"""
    follows = rf"""(?=$|\ ?[^\w\s]|\ (?:{part}|[a-zäöü]))"""
    return re.compile(
        rf"""(?:\b(?P<before>{part}),?\ (?:(?:um|punkt|pünktlich|genau|gegen)\ )*)?\b(?:
        (?:(?P<away>{number}|eine[rn]?(?=\ minute)|viertel)(?:\ minuten?)?
            \ (?P<side>vor|nach|über)\ (?P<near>{half_hour}\ )?(?P<from>{hour}|{named}\b))
        | (?P<short>{half_hour})(?:\ auf)?\ (?P<coming>{hour})(?!\ uhr)
        | (?P<digits>(?<![.:\d])\d{{1,2}}[:.h]\d\d(?![.:\d]))(?:\ uhr)?
        | (?P<hour>{number})\ uhr(?:\ (?:und\ )?(?:null\ )?(?P<minute>{minute})(?:\ minuten?)?\b)?
        | (?:(?P<named>mitternacht)|(?:um|punkt|gegen)\ (?P<noon>mittag)\b)
        | (?:(?<=um\ )|(?<=gegen\ )|(?<=punkt\ )|(?<=es\ ist\ ))(?P<bare>{hour}){follows}
        | (?P<under>(?:weniger\ als|unter|keine\ ganze|nicht\ einmal|kaum)\ eine[rn]?\ minute\b
            |keine\ ganze\ minute\b)
        | (?P<half_hour>halben?\ stunde) | (?P<three>dreiviertelstunden?)
        | (?P<quarter>viertelstunde) | (?P<one_and>anderthalb\ stunden)
        | (?P<hours>{number}|eine[rn]?)\ stunden?\b
        | (?P<count>{number}|eine[rn]?)\ min(?:uten?\b|\b)
        )\b(?:,?\ (?P<after>{part})(?!\ um\b))?""",
        re.VERBOSE,
    )


_COUNTED_NOUN = re.compile(
    rf"\b((?i:um|gegen|punkt|ist) (?i:eins|{_ONES}|zehn|elf|zwölf) )(?=[A-ZÄÖÜ])(?!(?i:uhr|minute))"
)
"""Where an hour's number stands before a noun, and so tells no hour: "um zwei Ecken"."""

_SPANS = {"half_hour": 30, "three": 45, "quarter": 15, "one_and": 90, "under": 0}


def told(text: str) -> tuple[Told, ...]:
    plain = " ".join(normalize("NFKC", text).split())
    plain = _COUNTED_NOUN.sub(r"\1_", plain).lower()
    for spelling, usual in _SPELLINGS:
        plain = re.sub(spelling, usual, plain)
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
    if match["named"] or match["noon"]:
        return Told(_WHOLE[match["named"] or match["noon"]], Counted.IN_A_DAY)
    if match["digits"]:
        hour, minute = re.split("[:.h]", match["digits"])
        return _by_the_hour(hour, int(minute))
    if match["hour"]:
        return _by_the_hour(match["hour"], _value(match["minute"] or "null"))
    if match["short"]:
        return _half(_value(match["coming"]) * 60 - 60 + _value(match["short"]))
    if match["bare"]:
        return _half(_value(match["bare"]) * 60)
    away = _value(match["away"]) * (-1 if match["side"] == "vor" else 1)
    if match["near"]:
        away += _value(match["near"].strip()) - 60
    if match["from"] in _WHOLE:
        return Told((_WHOLE[match["from"]] + away) % WHOLE_DAY, Counted.IN_A_DAY)
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
    return int(words) if words.isdigit() else sum(_VALUES[part] for part in words.split("und"))


def _half(minutes: int) -> Told:
    return Told(minutes % HALF_DAY, Counted.IN_HALF_A_DAY)


def _in_its_half(time: Told, part: str) -> Told:
    """The time in the half of the day that the words beside it name, if any.

    "elf Uhr mittags" is before noon, "zwölf Uhr abends" midnight, "elf Uhr nachts" before it.
    """
    if time.counted is not Counted.IN_HALF_A_DAY or not part:
        return time
    if "abend" in part:
        late = time.minutes >= 60
    elif "nachmittag" in part:
        late = True
    elif "vormittag" in part or part.endswith(("morgen", "morgens", "früh")):
        late = False
    elif "mittag" in part:
        late = time.minutes < 10 * 60
    else:
        late = time.minutes >= 6 * 60
    return Told(time.minutes + HALF_DAY * late, Counted.IN_A_DAY)
