"""Which times an English sentence tells: the product's own listener.

It reads by its own rules, not by the tables that the idioms are made from, and hears more than
the program says: digits, "a.m.", bare hours after "at". A name that tells a time is so noticed
before it is spoken beside another.
"""

from __future__ import annotations

import re
from functools import cache

from showtime.wording.clock import HALF_DAY, Counted, Told

_ONES = "one|two|three|four|five|six|seven|eight|nine"
_TEENS = "ten|eleven|twelve|thirteen|fourteen|fifteen|sixteen|seventeen|eighteen|nineteen"
_TENS = "twenty|thirty|forty|fifty"
_VALUES = {name: value for value, name in enumerate(f"{_ONES}|{_TEENS}".split("|"), start=1)}
_VALUES |= {name: 20 + 10 * place for place, name in enumerate(_TENS.split("|"))}
_VALUES |= {"a": 1, "quarter": 15, "a quarter": 15, "half": 30}
_WHOLE = {"noon": HALF_DAY, "midday": HALF_DAY, "midnight": 0}
_LONG = {"half an hour": 30, "a quarter of an hour": 15, "an hour": 60}


@cache
def _pattern() -> re.Pattern[str]:
    number = rf"(?:(?:{_TENS})(?:\ (?:{_ONES}))?|{_TEENS}|{_ONES}|\d{{1,2}})"
    minute = rf"(?:{_TENS})(?:\ (?:{_ONES}))?|{_TEENS}"
    hour = rf"(?:{_ONES}|ten|eleven|twelve|1[0-2]|[1-9])"
    teens = "thirteen|fourteen|fifteen|sixteen|seventeen|eighteen|nineteen"
    late = rf"{teens}|twenty\ (?:one|two|three)|twenty"
    named = r"(?:noon|midday|midnight)"
    part = r"(?:(?:in\ the|this|tomorrow)\ (?:morning|afternoon|evening)|at\ night|tonight)"
    return re.compile(
        rf"""(?:\b(?P<before>{part}),?\ at\ )?\b(?:
        (?:(?P<away>{number}|a(?=\ minute)|(?:a\ )?quarter|half)(?:\ minutes?)?
            \ (?P<side>past|after|to|before)\ (?P<from>{hour}|{named}))
        | (?:twelve\ )?(?P<named>{named})
        | (?P<hour>{hour})\ (?:oclock|oh\ (?P<oh>{_ONES})|(?P<minute>{minute}))
        | (?P<late>{late})\ (?:hundred|oh\ (?P<late_oh>{_ONES})|(?P<late_minute>{minute}))
        | (?P<digits>\d{{1,2}}[:.]\d\d)
        | (?P<numeral>\d{{1,2}})(?=\ ?[ap]\.?m\b)
        | at\ (?P<bare>{hour})(?=[.,;:!?]|$|\ sharp\b|\ today|\ tomorrow|\ {part})
        | (?P<under>less\ than|under)\ a\ minute
        | (?P<long>half\ an\ hour|a\ quarter\ of\ an\ hour|an\ hour)
        | (?P<count>{number}|a)\ minutes?
        )(?:\ ?(?P<half>[ap])\.?m\b|\b)(?:,?\ (?P<after>{part}))?""",
        re.VERBOSE,
    )


def told(text: str) -> tuple[Told, ...]:
    plain = re.sub(r"o['’]clock", "oclock", text.lower())
    plain = " ".join(re.sub(r"(?<=[a-z])-(?=[a-z])", " ", plain).split())
    return tuple(_heard(match) for match in _pattern().finditer(plain))


def _heard(match: re.Match[str]) -> Told:
    if match["under"]:
        return Told(0, Counted.FROM_NOW)
    if match["long"]:
        return Told(_LONG[match["long"]], Counted.FROM_NOW)
    if match["count"]:
        return Told(_value(match["count"]), Counted.FROM_NOW)
    if match["named"]:
        return Told(_WHOLE[match["named"]], Counted.IN_A_DAY)
    return _in_its_half(_clock_time(match), match["before"] or match["after"], match["half"])


def _clock_time(match: re.Match[str]) -> Told:
    if match["late"]:
        past = _value(match["late_minute"] or match["late_oh"] or "0")
        return Told(_value(match["late"]) * 60 + past, Counted.IN_A_DAY)
    if match["digits"]:
        hour, minute = (int(part) for part in re.split("[:.]", match["digits"]))
        whole = hour > 12 or match["digits"].startswith("0")
        return Told(hour * 60 + minute, Counted.IN_A_DAY) if whole else _half(hour * 60 + minute)
    if match["away"]:
        away = _value(match["away"]) * (1 if match["side"] in ("past", "after") else -1)
        if match["from"] in _WHOLE:
            return Told((_WHOLE[match["from"]] + away) % Counted.IN_A_DAY, Counted.IN_A_DAY)
        return _half(_value(match["from"]) * 60 + away)
    hour = _value(match["hour"] or match["bare"] or match["numeral"])
    return _half(hour * 60 + _value(match["minute"] or match["oh"] or "0"))


def _value(words: str) -> int:
    if words in _VALUES:
        return _VALUES[words]
    return int(words) if words.isdigit() else sum(_VALUES[word] for word in words.split())


def _half(minutes: int) -> Told:
    return Told(minutes % HALF_DAY, Counted.IN_HALF_A_DAY)


def _in_its_half(time: Told, part: str | None, half: str | None) -> Told:
    """The time in the half of the day that the words beside it name, if any."""
    if time.counted is not Counted.IN_HALF_A_DAY or not (part or half):
        return time
    if half:
        late = half == "p"
    elif part and ("night" in part):
        late = time.minutes >= 6 * 60
    else:
        late = "morning" not in (part or "")
    return Told(time.minutes + HALF_DAY * late, Counted.IN_A_DAY)
