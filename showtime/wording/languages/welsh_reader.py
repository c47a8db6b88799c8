"""Which times a Welsh sentence tells: the product's own listener.

It reads by its own rules, not by the tables that the idioms are made from, and hears more than
the program says: digits, bare hours after "am", either gender, and the decimal numbers.
"""

from __future__ import annotations

import re
from functools import cache

from showtime.wording.clock import HALF_DAY, Counted, Told

_RADICAL = "un dau tri pedwar pump chwech saith wyth naw deg"
_VALUES = {name: value for value, name in enumerate(_RADICAL.split(), start=1)}
_VALUES |= {"dwy": 2, "tair": 3, "pedair": 4, "pum": 5, "chwe": 6, "deng": 10}
_VALUES |= {"deuddeg": 12, "deuddeng": 12, "pymtheg": 15, "pymtheng": 15, "deunaw": 18}
_VALUES |= {"ugain": 20, "deugain": 40}
_SOFT = {"d": "dd", "t": "d", "p": "b"}
_VALUES |= {_SOFT[name[0]] + name[1:]: value for name, value in _VALUES.items() if name[0] in _SOFT}
_ON = {"ddeg": 10, "bymtheg": 15, "hugain": 20}
_LONG = {"chwarter awr": 15, "hanner awr": 30, "tri chwarter awr": 45, "awr": 60, "munud": 1}


@cache
def _pattern() -> re.Pattern[str]:
    one = "|".join(sorted(_VALUES, key=len, reverse=True))
    hour = rf"(?:un\ ar\ ddeg|(?:{one})(?!\ ar\ (?:ddeg|bymtheg|hugain)\b)|1[0-2]|[1-9])"
    count = rf"(?:(?:(?:{one})\ dd?eg\ (?:{one})|(?:{one})\ dd?eg|{one}|\d{{1,2}})"
    count += r"(?:\ o)?\ [mf]unud(?:au)?(?:\ ar\ (?:ddeg|bymtheg|hugain))?)"
    named = r"(?:hanner|[cg]anol)\ (?:dydd|nos)"
    part = r"(?:(?:yn\ )?y\ (?:bore|prynhawn)(?:\ yma)?|(?:gyda'r|y)\ nos|yr\ hwyr|heno)"
    goes_on = rf"(?=[.,;:!?]|$|\ yn\ union\b|\ heddiw\b|\ yfory\b|\ ddydd\b|\ {part})"
    return re.compile(
        rf"""(?:\b(?P<before>{part}),?\ (?:am\ )?)?\b(?:
        (?P<away>hanner(?:\ awr)?|chwarter|{count})\ (?P<side>wedi|i)\ (?P<from>{named}|{hour})
            (?:\ oclock)?
        | (?P<named>{named})
        | (?P<hour>{hour})\ oclock
        | (?P<digits>\d{{1,2}}[:.]\d\d)
        | am\ (?P<bare>{hour}){goes_on}
        | (?P<under>llai\ na\ munud)
        | (?P<long>(?:tri\ )?chwarter\ awr|hanner\ awr)
        | (?:mewn|ymhen)\ (?P<near>awr|munud)
        | (?P<count>{count})
        )\b(?:,?\ (?P<after>{part}))?""",
        re.VERBOSE,
    )


def told(text: str) -> tuple[Told, ...]:
    plain = re.sub(r"o['’]r gloch", "oclock", text.lower()).replace("’", "'")
    return tuple(_heard(match) for match in _pattern().finditer(" ".join(plain.split())))


def _heard(match: re.Match[str]) -> Told:
    if match["under"]:
        return Told(0, Counted.FROM_NOW)
    if match["long"] or match["near"]:
        return Told(_LONG[match["long"] or match["near"]], Counted.FROM_NOW)
    if match["count"]:
        return Told(_counted(match["count"]), Counted.FROM_NOW)
    if match["named"]:
        return Told(_whole(match["named"]), Counted.IN_A_DAY)
    return _in_its_half(_clock_time(match), match["before"] or match["after"])


def _whole(named: str) -> int:
    return HALF_DAY if named.endswith("dydd") else 0


def _clock_time(match: re.Match[str]) -> Told:
    if match["digits"]:
        hour, minute = (int(part) for part in re.split("[:.]", match["digits"]))
        if hour > 12 or match["digits"].startswith("0"):
            return Told(hour * 60 + minute, Counted.IN_A_DAY)
        return _half(hour * 60 + minute)
    if match["away"]:
        shares = {"hanner awr": 30, "hanner": 30, "chwarter": 15}
        away = shares.get(match["away"]) or _counted(match["away"])
        away = away if match["side"] == "wedi" else -away
        if match["from"].endswith(("dydd", "nos")):
            whole = _whole(match["from"]) + away
            return Told(whole % Counted.IN_A_DAY, Counted.IN_A_DAY)
        return _half(_counted(match["from"]) * 60 + away)
    return _half(_counted(match["hour"] or match["bare"]) * 60)


def _counted(words: str) -> int:
    """ "dwy funud ar hugain" is two on twenty, "tri deg dau o funudau" three tens and two."""
    number = re.sub(r"\ (?:o )?[mf]unud(?:au)?\b", "", words)
    low, _, base = number.partition(" ar ")
    if low.isdigit():
        return int(low)
    tens = re.fullmatch(r"(\w+) dd?eg(?: (\w+))?", low)
    if tens:
        return _VALUES[tens[1]] * 10 + _VALUES.get(tens[2] or "", 0)
    return _VALUES[low] + _ON.get(base, 0)


def _half(minutes: int) -> Told:
    return Told(minutes % HALF_DAY, Counted.IN_HALF_A_DAY)


def _in_its_half(time: Told, part: str | None) -> Told:
    """The time in the half of the day that the words beside it name, if any."""
    if time.counted is not Counted.IN_HALF_A_DAY or not part:
        return time
    late = time.minutes >= 60 if "nos" in part or part == "heno" else "bore" not in part
    return Told(time.minutes + HALF_DAY * late, Counted.IN_A_DAY)
