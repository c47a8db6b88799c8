"""How Spanish tells the time: on the peninsula, in the Americas, and by 24 hours."""

from __future__ import annotations

from datetime import datetime

from showtime.wording.clock import Told
from showtime.wording.errors import UnknownLanguageError
from showtime.wording.languages.spanish_reader import told


def _list(words: str) -> list[str]:
    return words.split()


_ONES = _list(
    "cero uno dos tres cuatro cinco seis siete ocho nueve diez once doce trece catorce quince "
    "dieciséis diecisiete dieciocho diecinueve veinte veintiuno veintidós veintitrés veinticuatro "
    "veinticinco veintiséis veintisiete veintiocho veintinueve"
)
_TENS = ("treinta", "cuarenta", "cincuenta")
NUMBERS = tuple(
    _ONES + [ten + (f" y {_ONES[one]}" if one else "") for ten in _TENS for one in range(10)]
)
"""0 to 59 in words."""

_WEEKDAYS = ("lunes", "martes", "miércoles", "jueves", "viernes", "sábado", "domingo")
_MONTHS = _list(
    "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre"
)

_DAYPARTS = (
    (6 * 60, "de la madrugada"),
    (12 * 60, "de la mañana"),
    (20 * 60, "de la tarde"),
    (24 * 60, "de la noche"),
)
"""CLDR's day periods of Spanish: minutes before which each ends, its words."""

_RUNS_INTO = {10: range(6, 10), 20: range(1, 10)}
"""Hours whose name runs into these minutes: "diez y seis" sounds like "dieciséis", sixteen."""


class Spanish:
    """Left out, because a listener may take them for another time: bare "mediodía" (in Spain the
    hours around lunch), bare "las doce" at midnight ("mañana a las doce" is noon), "a las dos
    horas" (two hours from now), "a las diez y seis" (which sounds like sixteen), "a diez para las
    tres" (which begins like ten; "cuando falten diez para las tres" is said instead).
    """

    language = "es"
    manners = ("peninsular", "american", "24-hour")

    def __init__(self, manners: tuple[str, ...] = ()) -> None:
        unknown = [manner for manner in manners if manner not in Spanish.manners]
        if unknown:
            raise UnknownLanguageError(
                f"Spanish has no {unknown[0]!r} manner: {', '.join(Spanish.manners)}"
            )
        self._told_in = manners or ("peninsular",)

    def idioms(self, hour: int, minute: int) -> tuple[str, ...]:
        ways = {"peninsular": _peninsular, "american": _american, "24-hour": _by_24_hours}
        return tuple(
            dict.fromkeys(idiom for manner in self._told_in for idiom in ways[manner](hour, minute))
        )

    def at(self, hour: int, minute: int) -> tuple[str, ...]:
        return tuple(
            f"cuando {_lacking(idiom, 'falte', 'falten')}" if " para " in idiom else f"a {idiom}"
            for idiom in self.idioms(hour, minute)
        )

    def it_is(self, hour: int, minute: int) -> tuple[str, ...]:
        return tuple(
            _lacking(idiom, "falta", "faltan") if " para " in idiom else f"{_verb(idiom)} {idiom}"
            for idiom in self.idioms(hour, minute)
        )

    def minutes(self, to_go: int) -> tuple[str, ...]:
        match to_go:
            case 0:
                return ("menos de un minuto",)
            case 15:
                return ("quince minutos", "un cuarto de hora")
            case 30:
                return ("treinta minutos", "media hora")
            case 45:
                return ("cuarenta y cinco minutos", "tres cuartos de hora")
        return (_counted(to_go),)

    def within(self, to_go: int) -> tuple[str, ...]:
        words = self.minutes(to_go)
        near = tuple(f"en {each}" for each in words)
        return (*near, *(f"dentro de {each}" for each in words)) if to_go else near

    def dayparts(self, at: datetime, now: datetime) -> tuple[str, ...]:
        """None in the hours after twelve, which "tarde" and "madrugada" name for some listeners
        and "mediodía" and "noche" for others; none beside the hours of 24."""
        if at.hour in (0, 12) or "24-hour" in self._told_in:
            return ()
        return (next(words for before, words in _DAYPARTS if at.hour * 60 + at.minute < before),)

    def days(self, at: datetime, now: datetime) -> tuple[str, ...]:
        ahead = (at.date() - now.date()).days
        if ahead in (0, 1):
            return (("hoy", "mañana")[ahead],)
        if 1 < ahead < 7:
            return (f"el {_WEEKDAYS[at.weekday()]}",)
        return (f"el {NUMBERS[at.day]} de {_MONTHS[at.month - 1]}",)

    def told(self, text: str) -> tuple[Told, ...]:
        return told(text)


def _hour(hour: int) -> str:
    """With its article, in the feminine of "hora": "la una", "las dos", "las veintiuna"."""
    return "la una" if hour == 1 else f"las {'veintiuna' if hour == 21 else NUMBERS[hour]}"


def _of_12(hour: int) -> int:
    return (hour - 1) % 12 + 1


def _verb(idiom: str) -> str:
    return "son" if idiom.startswith("las ") else "es"


def _lacking(idiom: str, one: str, more: str) -> str:
    """What is still missing: "faltan diez para las tres", "falta un cuarto para la una"."""
    return f"{one if idiom.startswith('un ') else more} {idiom}"


def _counted(minutes: int) -> str:
    """ "un minuto", "veintiún minutos", "treinta y un minutos": before a noun "uno" is cut."""
    words = NUMBERS[minutes]
    if words.endswith("uno"):
        words = words.removesuffix("uno") + ("ún" if words.startswith("veinti") else "un")
    return f"{words} minuto{'s' * (minutes != 1)}"


def _whole_hour(hour: int) -> list[str]:
    named = {0: ["medianoche", "las doce de la noche"], 12: ["las doce del mediodía", "las doce"]}
    return named.get(hour, [_hour(_of_12(hour))])


def _past(hour: int, minute: int) -> list[str]:
    """ "las dos y media", "las dos y siete", and with the minutes named."""
    named = _hour(hour)
    if minute in (15, 30):
        return [f"{named} y {'cuarto' if minute == 15 else 'media'}"]
    counted = f"{named} y {_counted(minute)}"
    if minute == 1 or minute in _RUNS_INTO.get(hour, ()):
        return [counted]
    plain = f"{named} y {NUMBERS[minute]}"
    return [plain] if minute % 5 == 0 else [plain, counted]


def _read_off(hour: int, minute: int) -> list[str]:
    """As the numbers on a display are read: "las dos cuarenta"."""
    return [f"{_hour(hour)} {NUMBERS[minute]}"] if minute >= 10 else []


def _peninsular(hour: int, minute: int) -> list[str]:
    """ "las tres menos diez"."""
    if minute == 0:
        return _whole_hour(hour)
    past = _read_off(_of_12(hour), minute)
    if minute <= 30:
        return [*_past(_of_12(hour), minute), *past]
    named, away = _hour(_of_12(hour + 1)), 60 - minute
    counted = f"{named} menos {_counted(away)}"
    if away == 15:
        return [f"{named} menos cuarto", *past]
    if away == 1:
        return [counted, *past]
    plain = f"{named} menos {NUMBERS[away]}"
    return [plain, *past] if away % 5 == 0 else [plain, counted, *past]


def _american(hour: int, minute: int) -> list[str]:
    """ "diez para las tres"."""
    if minute == 0:
        return _whole_hour(hour)
    past = [*_past(_of_12(hour), minute), *_read_off(_of_12(hour), minute)]
    if minute <= 30:
        return past
    away, named = 60 - minute, _hour(_of_12(hour + 1))
    plain = {1: "un minuto", 15: "un cuarto"}.get(away, NUMBERS[away])
    counted = [_counted(away)] if away % 5 else []
    return [*(f"{each} para {named}" for each in (plain, *counted)), *past]


def _by_24_hours(hour: int, minute: int) -> list[str]:
    """ "las catorce treinta", "las nueve cero cinco"; "horas" where it is no count of them."""
    unit = " horas" if hour == 0 or hour > 12 else ""
    if minute == 0:
        return _whole_hour(12)[:1] if hour == 12 else [_hour(hour) + unit]
    if minute < 10:
        return [
            f"{_hour(hour)} cero {NUMBERS[minute]}",
            f"{_hour(hour)}{unit} y {_counted(minute)}",
        ]
    return [f"{_hour(hour)} {NUMBERS[minute]}", f"{_hour(hour)}{unit} y {NUMBERS[minute]}"]
