"""How Dutch tells the time: in the manner of the Netherlands, of Flanders, and by 24 hours."""

from __future__ import annotations

from datetime import datetime

from showtime.wording.clock import Told
from showtime.wording.errors import UnknownLanguageError
from showtime.wording.languages.dutch_reader import told


def _list(words: str) -> list[str]:
    return words.split()


_ONES = _list(
    "nul één twee drie vier vijf zes zeven acht negen tien elf twaalf dertien veertien "
    "vijftien zestien zeventien achttien negentien"
)
_TENS = _list("twintig dertig veertig vijftig")


def _compound(one: int, ten: str) -> str:
    """The ones come first: "vijfentwintig", "eenentwintig", "tweeëntwintig"."""
    if one == 0:
        return ten
    first = "een" if one == 1 else _ONES[one]
    return f"{first}{'ën' if one in (2, 3) else 'en'}{ten}"


NUMBERS = tuple(_ONES + [_compound(one, ten) for ten in _TENS for one in range(10)])
"""0 to 59 in words; num2words says the same, and takes longer to import than a whole answer."""

_WEEKDAYS = _list("maandag dinsdag woensdag donderdag vrijdag zaterdag zondag")
_MONTHS = _list(
    "januari februari maart april mei juni juli augustus september oktober november december"
)

_DAYPARTS = (
    (6 * 60, "nacht"),
    (12 * 60, "ochtend"),
    (18 * 60, "middag"),
    (24 * 60, "avond"),
)
"""CLDR's day periods of Dutch: minutes before which each ends, and its noun."""


class Dutch:
    """Left out, because a listener may take them for another time: "om twee" without its "uur"
    (in Dutch a count of things), "zeven minuten over twee" ("zeven minuten over" is what is left),
    "de middag" alone (six hours), "vierentwintig uur" (a whole day). The hour is written "één uur",
    for "een uur" is how long something lasts.
    """

    language = "nl"
    manners = ("standard", "flemish", "24-hour")

    def __init__(self, manners: tuple[str, ...] = ()) -> None:
        unknown = [manner for manner in manners if manner not in Dutch.manners]
        if unknown:
            raise UnknownLanguageError(
                f"Dutch has no {unknown[0]!r} manner: {', '.join(Dutch.manners)}"
            )
        self._told_in = manners or ("standard",)

    def idioms(self, hour: int, minute: int) -> tuple[str, ...]:
        ways = {"standard": _standard, "flemish": _flemish, "24-hour": _whole_day}
        return tuple(
            dict.fromkeys(idiom for manner in self._told_in for idiom in ways[manner](hour, minute))
        )

    def at(self, hour: int, minute: int) -> tuple[str, ...]:
        return tuple(f"om {idiom}" for idiom in self.idioms(hour, minute))

    def it_is(self, hour: int, minute: int) -> tuple[str, ...]:
        return tuple(f"het is {idiom}" for idiom in self.idioms(hour, minute))

    def minutes(self, to_go: int) -> tuple[str, ...]:
        match to_go:
            case 0:
                return ("minder dan een minuut",)
            case 1:
                return ("één minuut", "een minuut")
            case 15:
                return ("vijftien minuten", "een kwartier")
            case 30:
                return ("dertig minuten", "een half uur")
            case 45:
                return ("vijfenveertig minuten", "drie kwartier")
        return (f"{NUMBERS[to_go]} minuten",)

    def within(self, to_go: int) -> tuple[str, ...]:
        return tuple(f"over {words}" for words in self.minutes(to_go))

    def dayparts(self, at: datetime, now: datetime) -> tuple[str, ...]:
        minute = at.hour * 60 + at.minute
        if minute in (0, 12 * 60):
            return ()  # noon and midnight say it themselves
        noun = next(name for before, name in _DAYPARTS if minute < before)
        return (f"van{noun}",) if at.date() == now.date() else (f"'s {noun}s",)

    def days(self, at: datetime, now: datetime) -> tuple[str, ...]:
        ahead = (at.date() - now.date()).days
        if ahead in (0, 1):
            return (("vandaag", "morgen")[ahead],)
        if 1 < ahead < 7:
            weekday = f"op {_WEEKDAYS[at.weekday()]}"
            return (weekday, "overmorgen") if ahead == 2 else (weekday,)
        return (f"op {NUMBERS[at.day]} {_MONTHS[at.month - 1]}",)

    def told(self, text: str) -> tuple[Told, ...]:
        return told(text)


def _hour(hour: int) -> str:
    return NUMBERS[(hour - 1) % 12 + 1]


def _by_the_hour(hour: int, minute: int) -> str:
    """ "twee uur", "één uur dertig"; the hour is said as it is given."""
    return f"{NUMBERS[hour]} uur{f' {NUMBERS[minute]}' if minute else ''}"


def _twelve_hours(hour: int, minute: int) -> str:
    return _by_the_hour((hour - 1) % 12 + 1, minute)


def _counted(away: int, side: str, named: str) -> list[str]:
    """ "vijf voor drie", "één over half drie", "zeven minuten voor drie"."""
    if away == 15:
        return [f"kwart {side} {named}"]
    short = f"{NUMBERS[away]} {side} {named}"
    if side == "over":
        return [short]
    return [short, f"{NUMBERS[away]} {'minuut' if away == 1 else 'minuten'} {side} {named}"]


def _whole_hour(hour: int) -> list[str]:
    oclock = _twelve_hours(hour, 0)
    return {
        0: ["middernacht", "twaalf uur 's nachts", oclock],
        12: ["twaalf uur 's middags", oclock],
    }.get(hour, [oclock])


def _around(hour: int, minute: int, past: str, from_hour: int) -> list[str]:
    """Ways that count from the nearest hour or half hour. `from_hour`: the minutes on both sides
    of the hour that are counted from it first."""
    now, coming = _hour(hour), _hour(hour + 1)
    if minute == 30:
        return [f"half {coming}"]
    by_hour = _counted(minute, past, now) if minute < 30 else _counted(60 - minute, "voor", coming)
    if min(minute, 60 - minute) < 16:
        return by_hour
    side = "voor" if minute < 30 else past
    by_half = _counted(abs(30 - minute), side, f"half {coming}")
    if min(minute, 60 - minute) <= from_hour:
        return [*by_hour, *by_half[:1]]
    return [*by_half, *by_hour[:1]] if min(minute, 60 - minute) == 20 else by_half


def _standard(hour: int, minute: int) -> list[str]:
    """Twenty past and twenty to are counted from the half hour: "tien voor half drie"."""
    if minute == 0:
        return _whole_hour(hour)
    return _around(hour, minute, "over", 19)


def _flemish(hour: int, minute: int) -> list[str]:
    """ "kwart na twee", "twintig na twee", and by the hour: "twee uur twintig"."""
    if minute == 0:
        return _whole_hour(hour)
    return [*_around(hour, minute, "na", 20), _twelve_hours(hour, minute)]


def _whole_day(hour: int, minute: int) -> list[str]:
    return [_by_the_hour(hour, minute)]
