"""How German tells the time: in ordinary talk, in the manner of the east and south, by 24 hours."""

from __future__ import annotations

from datetime import datetime

from showtime.wording.clock import Told
from showtime.wording.errors import UnknownLanguageError
from showtime.wording.languages.german_reader import told


def _list(words: str) -> list[str]:
    return words.split()


_ONES = _list(
    "null eins zwei drei vier fünf sechs sieben acht neun zehn elf zwölf dreizehn vierzehn "
    "fünfzehn sechzehn siebzehn achtzehn neunzehn"
)
_TENS = _list("zwanzig dreißig vierzig fünfzig")


def _compound(one: int, ten: str) -> str:
    """The ones come first: "fünfundzwanzig", "einundzwanzig"."""
    return f"{_ONES[one].removesuffix('s') if one == 1 else _ONES[one]}und{ten}" if one else ten


NUMBERS = tuple(_ONES + [_compound(one, ten) for ten in _TENS for one in range(10)])
"""0 to 59 in words; num2words says the same, and takes longer to import than a whole answer."""

_FIRSTS = _list("ersten zweiten dritten vierten fünften sechsten siebten achten")
ORDINALS = tuple(
    [*_FIRSTS]
    + [f"{NUMBERS[day]}ten" for day in range(9, 20)]
    + [f"{NUMBERS[day]}sten" for day in range(20, 32)]
)
"""The days of a month in words, from the first, as they follow "am"."""

_WEEKDAYS = _list("Montag Dienstag Mittwoch Donnerstag Freitag Samstag Sonntag")
_MONTHS = _list(
    "Januar Februar März April Mai Juni Juli August September Oktober November Dezember"
)

_DAYPARTS = (
    (5 * 60, "Nacht", "nachts"),
    (10 * 60, "Morgen", "morgens"),
    (12 * 60, "Vormittag", "vormittags"),
    (13 * 60, "Mittag", "mittags"),
    (18 * 60, "Nachmittag", "nachmittags"),
    (24 * 60, "Abend", "abends"),
)
"""CLDR's day periods of German: minutes before which each ends, its noun and its adverb."""


class German:
    """Left out, because a listener may take them for another time: "viertel drei" unless a bank
    asks for the regional manner (quarter past two where it is said, and quarter past or to three
    elsewhere), "zwei vor halb drei" without "Minuten" (at two, before half past?), "Mittag" alone
    (an hour or two of the day), "vierundzwanzig Uhr" (of which day?).
    """

    language = "de"
    manners = ("standard", "regional", "24-hour")

    def __init__(self, manners: tuple[str, ...] = ()) -> None:
        unknown = [manner for manner in manners if manner not in German.manners]
        if unknown:
            raise UnknownLanguageError(
                f"German has no {unknown[0]!r} manner: {', '.join(German.manners)}"
            )
        self._told_in = manners or ("standard", "24-hour")

    def idioms(self, hour: int, minute: int) -> tuple[str, ...]:
        ways = {"standard": _standard, "regional": _regional, "24-hour": _whole_day}
        return tuple(
            dict.fromkeys(idiom for manner in self._told_in for idiom in ways[manner](hour, minute))
        )

    def at(self, hour: int, minute: int) -> tuple[str, ...]:
        return self._after("um", hour, minute)

    def it_is(self, hour: int, minute: int) -> tuple[str, ...]:
        return self._after("es ist", hour, minute)

    def _after(self, words: str, hour: int, minute: int) -> tuple[str, ...]:
        """A whole hour may go without its "Uhr" here: "um zwei", "es ist eins"."""
        said = [f"{words} {idiom}" for idiom in self.idioms(hour, minute)]
        if minute == 0 and self._told_in != ("24-hour",):
            said.append(f"{words} {_hour(hour)}")
        return tuple(said)

    def minutes(self, to_go: int) -> tuple[str, ...]:
        match to_go:
            case 0:
                return ("weniger als eine Minute",)
            case 1:
                return ("eine Minute",)
            case 15:
                return ("fünfzehn Minuten", "eine Viertelstunde")
            case 30:
                return ("dreißig Minuten", "eine halbe Stunde")
            case 45:
                return ("fünfundvierzig Minuten", "eine Dreiviertelstunde")
        return (f"{NUMBERS[to_go]} Minuten",)

    def within(self, to_go: int) -> tuple[str, ...]:
        return tuple(f"in {_dative(words)}" for words in self.minutes(to_go))

    def dayparts(self, at: datetime, now: datetime) -> tuple[str, ...]:
        minute = at.hour * 60 + at.minute
        if minute in (0, 12 * 60):
            return ()  # noon and midnight say it themselves
        noun, adverb = next(names for before, *names in _DAYPARTS if minute < before)
        return (f"heute {noun}",) if at.date() == now.date() else (adverb,)

    def days(self, at: datetime, now: datetime) -> tuple[str, ...]:
        ahead = (at.date() - now.date()).days
        if ahead in (0, 1):
            return (("heute", "morgen")[ahead],)
        if 1 < ahead < 7:
            weekday = f"am {_WEEKDAYS[at.weekday()]}"
            return (weekday, "übermorgen") if ahead == 2 else (weekday,)
        return (f"am {ORDINALS[at.day - 1]} {_MONTHS[at.month - 1]}",)

    def told(self, text: str) -> tuple[Told, ...]:
        return told(text)


def _hour(hour: int) -> str:
    return NUMBERS[(hour - 1) % 12 + 1]


def _by_the_hour(hour: int, minute: int) -> str:
    """ "zwei Uhr", "ein Uhr dreißig"; the hour is said as it is given."""
    return f"{NUMBERS[hour] if hour != 1 else 'ein'} Uhr{f' {NUMBERS[minute]}' if minute else ''}"


def _twelve_hours(hour: int, minute: int) -> str:
    return _by_the_hour((hour - 1) % 12 + 1, minute)


def _counted(away: int, side: str, named: str) -> list[str]:
    """ "fünf vor drei", "eine Minute nach halb drei"."""
    counted = f"{f'{NUMBERS[away]} Minuten' if away > 1 else 'eine Minute'} {side} {named}"
    return [f"{NUMBERS[away]} {side} {named}", counted] if away % 5 == 0 else [counted]


def _around(hour: int, minute: int) -> list[str]:
    """Ways that count from the nearer hour or half hour, the one in ordinary use first.

    "Viertel vor drei" has a noun in it, "viertel drei" has not (German spelling, from memory).
    """
    past, coming = _hour(hour), _hour(hour + 1)
    if minute == 15:
        return [f"Viertel nach {past}"]
    if minute == 45:
        return [f"Viertel vor {coming}"]
    if minute == 30:
        return [f"halb {coming}"]
    if minute <= 20:
        near_half = _counted(10, "vor", f"halb {coming}")[:1] if minute == 20 else []
        return _counted(minute, "nach", past) + near_half
    if minute >= 40:
        near_half = _counted(10, "nach", f"halb {coming}")[:1] if minute == 40 else []
        return _counted(60 - minute, "vor", coming) + near_half
    side = "vor" if minute < 30 else "nach"
    return _counted(abs(30 - minute), side, f"halb {coming}")


def _standard(hour: int, minute: int) -> list[str]:
    if minute == 0:
        oclock = _twelve_hours(hour, 0)
        return {
            0: ["Mitternacht", "zwölf Uhr nachts", oclock],
            12: ["zwölf Uhr mittags", oclock],
        }.get(hour, [oclock])
    return [*_around(hour, minute), _twelve_hours(hour, minute)]


def _regional(hour: int, minute: int) -> list[str]:
    """A quarter of the coming hour, and three of them: in the east and the south."""
    quarters = {15: "viertel", 45: "dreiviertel"}
    if minute in quarters:
        return [f"{quarters[minute]} {_hour(hour + 1)}", _twelve_hours(hour, minute)]
    return _standard(hour, minute)


def _whole_day(hour: int, minute: int) -> list[str]:
    return [_by_the_hour(hour, minute)]


def _dative(minutes: str) -> str:
    """As it follows "in": "in einer halben Stunde", "in weniger als einer Minute"."""
    return minutes.replace("eine ", "einer ").replace("halbe ", "halben ")
