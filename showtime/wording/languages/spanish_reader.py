"""Which times a Spanish sentence tells: the product's own listener.

It reads by its own rules, not by the tables that the idioms are made from, and hears more than
the program says: digits, "h", "a. m.", hours of 24 in any manner, half hours from now.
"""

from __future__ import annotations

import re
from functools import cache

from showtime.wording.clock import HALF_DAY, Counted, Told

_UNITS = {"una": 1, "un": 1, "uno": 1, "dos": 2, "tres": 3, "cuatro": 4, "cinco": 5}
_UNITS |= {"seis": 6, "siete": 7, "ocho": 8, "nueve": 9}
_TEENS = {"diez": 10, "once": 11, "doce": 12, "trece": 13, "catorce": 14, "quince": 15}
_TEENS |= {f"dieci{name}": 10 + _UNITS[name] for name in ("seis", "siete", "ocho", "nueve")}
_TWENTIES = {"veinte": 20} | {f"veinti{name}": 20 + value for name, value in _UNITS.items()}
_TENS = {"treinta": 30, "cuarenta": 40, "cincuenta": 50}
_VALUES = {"cero": 0} | _UNITS | _TEENS | _TWENTIES | _TENS
_SHARES = {"cuarto": 15, "un cuarto": 15, "media": 30}
_LONG = {"un cuarto de hora": 15, "media hora": 30, "tres cuartos de hora": 45, "una hora": 60}
_NAMED = {"mediodia": HALF_DAY, "medianoche": 0}


def _any(words: dict[str, int]) -> str:
    return "|".join(sorted(words, key=len, reverse=True))


@cache
def _pattern() -> re.Pattern[str]:
    number = rf"(?:(?:{_any(_TENS)})(?:\ y\ (?:{_any(_UNITS)}))?"
    number += rf"|{_any(_TWENTIES | _TEENS | _UNITS)}|\d{{1,2}})"
    two_figures = rf"(?:(?:{_any(_TENS)})(?:\ y\ (?:{_any(_UNITS)}))?|{_any(_TWENTIES | _TEENS)})"
    hour = rf"(?:{_any(_TWENTIES | _TEENS | _UNITS)}|cero|2[0-4]|[01]?\d)"
    part = r"(?:(?:de|por|en)\ la\ (?:madrugada|manana|tarde|noche)|(?:del|al)\ mediodia"
    part += r"|est[ae]\ (?:madrugada|manana|tarde|noche|mediodia))"
    goes_on = rf"(?=[.,;:!?…]|$|\ en\ punto\b|\ hoy\b|\ manana\b|\ horas\b|\ {part})"
    return re.compile(
        rf"""(?:\b(?P<before>{part}),?\ )?(?:\bal?\ )?\b(?:
        (?P<lacking>{number}|(?:un\ )?cuarto)(?:\ minutos?)?\ para\ las?\ (?P<next>{hour})
        | las?\ (?P<from>{hour})(?:\ horas?)?\ (?P<side>y|menos)
            \ (?P<away>(?:un\ )?cuarto|media(?!\ hora|\ docena)|{number})(?:\ minutos?)?
        | las?\ (?P<hour>{hour})(?:\ horas?)?\ (?:cero\ (?P<oh>{_any(_UNITS)})
            |(?P<minute>{two_figures}))(?:\ minutos?)?
        | (?:las?\ )?(?P<digits>\d{{1,2}}[:.h]\d\d)(?:\ ?h(?:oras)?\b)?
        | (?:las?\ )?(?P<numeral>\d{{1,2}})(?:\ ?h\b|(?=\ ?[ap]\.?\ ?m\b))
        | (?P<named>mediodia|medianoche)
        | (?<=\ba\ )las?\ (?P<bare>{hour})(?:\ horas\b)?
        | las?\ (?P<alone>{hour})(?:\ horas\b)?{goes_on}
        | (?P<under>menos\ de\ un\ minuto)
        | (?P<long>un\ cuarto\ de\ hora|media\ hora|tres\ cuartos\ de\ hora
            |(?<=en\ )una\ hora|(?<=dentro\ de\ )una\ hora)
        | (?P<count>{number})\ minutos?
        )\b(?:\ ?(?P<half>[ap])\.?\ ?m\b)?(?:,?\ (?P<after>{part}))?""",
        re.VERBOSE,
    )


_PLAIN = str.maketrans("áéíóúñ", "aeioun")


def told(text: str) -> tuple[Told, ...]:
    plain = " ".join(text.lower().translate(_PLAIN).split())
    return tuple(_heard(match) for match in _pattern().finditer(plain))


def _heard(match: re.Match[str]) -> Told:
    if match["under"]:
        return Told(0, Counted.FROM_NOW)
    if match["long"]:
        return Told(_LONG[match["long"]], Counted.FROM_NOW)
    if match["count"]:
        return Told(_value(match["count"]), Counted.FROM_NOW)
    if match["named"]:
        return Told(_NAMED[match["named"]], Counted.IN_A_DAY)
    return _in_its_half(_clock_time(match), match["before"] or match["after"], match["half"])


def _clock_time(match: re.Match[str]) -> Told:
    if match["digits"]:
        hour, minute = re.split("[:.h]", match["digits"])
        return _open(int(hour), int(minute), whole=hour.startswith("0"))
    if match["lacking"]:
        return _open(_value(match["next"]), -_value(match["lacking"]))
    if match["away"]:
        away = _value(match["away"])
        return _open(_value(match["from"]), away if match["side"] == "y" else -away)
    if match["hour"]:
        return _open(_value(match["hour"]), _value(match["oh"] or match["minute"]))
    return _open(_value(match["bare"] or match["alone"] or match["numeral"]), 0)


def _open(hour: int, minute: int, *, whole: bool = False) -> Told:
    """The half of the day is open when the hour is one of twelve."""
    counted = Counted.IN_A_DAY if whole or hour > 12 or hour == 0 else Counted.IN_HALF_A_DAY
    return Told((hour * 60 + minute) % counted, counted)


def _value(words: str) -> int:
    if words.isdigit():
        return int(words)
    return _SHARES.get(words) or sum(_VALUES[word] for word in words.split() if word != "y")


def _in_its_half(time: Told, part: str | None, half: str | None) -> Told:
    """The time in the half of the day that the words beside it name, if any."""
    if time.counted is not Counted.IN_HALF_A_DAY or not (part or half):
        return time
    at_twelve = time.minutes < 60
    if half:
        late = half == "p"
    elif part and part.endswith("noche"):
        late = time.minutes >= 6 * 60
    elif part and part.endswith("manana"):
        late = at_twelve  # "las doce de la mañana" is noon
    else:
        late = part is not None and part.endswith(("tarde", "mediodia"))
    return Told(time.minutes + HALF_DAY * late, Counted.IN_A_DAY)
