"""The six questions: what each asks, what stands in its brackets, what an answer makes of a stall,
and how that is told."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from showtime.settings.newstall.typed_days import days
from showtime.settings.newstall.typed_pieces import pieces
from showtime.settings.newstall.typed_quiet import quiet
from showtime.settings.newstall.typed_speech import names, speech
from showtime.settings.newstall.typed_times import clock
from showtime.settings.newstall.values import (
    AnswerError,
    Hours,
    Names,
    NewPiece,
    NewStall,
    OpenOn,
    QuietTime,
    Speech,
    Surroundings,
)
from showtime.settings.quantity import plain

_USUAL = Hours(timedelta(hours=10), timedelta(hours=17))
_LUNCH = Hours(timedelta(hours=13), timedelta(hours=13, minutes=30))
_LONGEST = 2000


@dataclass(frozen=True, slots=True)
class Question:
    """One of the six. `flag` is the option that answers it unasked; `asks` has a line or two."""

    flag: str
    asks: str
    default: Callable[[NewStall, Surroundings], str]
    take: Callable[[NewStall, str, Surroundings], NewStall]
    tell: Callable[[NewStall, Surroundings], list[str]]

    def taken(self, stall: NewStall, answer: str, around: Surroundings) -> NewStall:
        """The stall with an answer in it, an empty one being the default.

        Raises AnswerError for one that means nothing.
        """
        typed = answer.strip() or self.default(stall, around)
        if len(typed) > _LONGEST:
            raise AnswerError("this is very long; keep to what fits on a few lines")
        if any(ord(sign) < 32 and sign != "\t" for sign in typed):
            raise AnswerError("there are hidden characters in this; type it again")
        if "\N{REPLACEMENT CHARACTER}" in typed:
            raise AnswerError("there are letters in this that cannot be read; type it again")
        return self.take(stall, typed, around)


def blank(around: Surroundings) -> NewStall:
    """A stall of which nothing was told yet; only good to put answers into."""
    return NewStall(
        names=Names("-"),
        figure="-",
        speech=Speech((around.language,), around.zone),
        days=_coming_saturday(_today(around.zone, around)),
        pieces=(NewPiece("-", timedelta(seconds=1)),),
        quiet=(),
    )


def _today(zone: str, around: Surroundings) -> date:
    return around.now.astimezone(ZoneInfo(zone)).date()


def _coming_saturday(today: date) -> tuple[OpenOn, ...]:
    after = today + timedelta(days=1)
    return (OpenOn(after + timedelta(days=(5 - after.weekday()) % 7), _USUAL),)


def _days(stall: NewStall, typed: str, around: Surroundings) -> NewStall:
    today = _today(stall.speech.zone, around)
    return replace(stall, days=days(typed, _coming_saturday(today), today))


def _days_default(stall: NewStall, around: Surroundings) -> str:
    day = _coming_saturday(_today(stall.speech.zone, around))[0]
    hours = f"{clock(day.hours.opens)}-{clock(day.hours.closes)}"
    return f"{day.date:%a} {day.date.day} {day.date:%b %Y} {hours}"


def _days_told(stall: NewStall, around: Surroundings) -> list[str]:
    today = _today(stall.speech.zone, around)
    return [
        f"{day.date:%A} {day.date.day} {day.date:%B %Y}, {_hours(day.hours)}"
        + (" (past, by this machine's clock)" if day.date < today else "")
        for day in stall.days
    ]


def _hours(hours: Hours) -> str:
    late = " the next day" if hours.closes <= hours.opens else ""
    return f"{clock(hours.opens)} to {clock(hours.closes)}{late}"


def _speech_default(_: NewStall, around: Surroundings) -> str:
    return f"{around.languages[around.language][0]}, {around.zone}"


def _speech_told(stall: NewStall, around: Surroundings) -> list[str]:
    named = " and ".join(around.languages[code][0] for code in stall.speech.languages)
    there = around.now.astimezone(ZoneInfo(stall.speech.zone))
    return [f"{named}; {stall.speech.zone}, where it is {there:%H:%M} now"]


def _quiet_default(stall: NewStall, _: Surroundings) -> str:
    """Lunch, where the stall is open for a while before and after."""
    hour = timedelta(hours=1)
    long = all(
        day.hours.opens + hour <= _LUNCH.opens and _LUNCH.closes + hour <= day.hours.closes
        for day in stall.days
    )
    return f"lunch {clock(_LUNCH.opens)}-{clock(_LUNCH.closes)}" if long else "none"


def _quiet_told(time: QuietTime) -> str:
    again = f", again every {plain(time.every)}" if time.every else ""
    days = " and ".join(f"{day:%A} {day.day} {day:%B}" for day in time.days)
    return f"{time.why}, {_hours(time.hours)}{again}" + (f", on {days}" if days else "")


QUESTIONS = (
    Question(
        "stall",
        "What is the stall called? After a comma, if you like, its fair.",
        lambda _, __: "The Copper Pump",
        lambda stall, typed, _: replace(stall, names=names(typed)),
        lambda stall, _: [
            f"{stall.names.stall}, at {stall.names.fair}" if stall.names.fair else stall.names.stall
        ],
    ),
    Question(
        "figure",
        "What is the figure called that performs there?",
        lambda _, __: "Orla Tinnock",
        lambda stall, typed, _: replace(stall, figure=typed),
        lambda stall, _: [stall.figure],
    ),
    Question(
        "speaks",
        "Which language does it speak, and in which time zone does it stand?",
        _speech_default,
        lambda stall, typed, around: replace(
            stall, speech=speech(typed, Speech((around.language,), around.zone), around)
        ),
        _speech_told,
    ),
    Question(
        "days",
        "On which days is it shown, from when to when?\nSuch as: sat 10-17, sun 10-16",
        _days_default,
        _days,
        _days_told,
    ),
    Question(
        "pieces",
        "What does it perform, and how long is each?\n"
        "Such as: Frost Bells 4:30, The Pear Dance 7 min",
        lambda _, __: "The Kettle Jig 4:30, Moth Waltz 6:00",
        lambda stall, typed, _: replace(stall, pieces=pieces(typed)),
        lambda stall, _: [f"{piece.name}, {plain(piece.lasts)}" for piece in stall.pieces],
    ),
    Question(
        "quiet",
        "When must it be quiet, and why?\n"
        "Such as: lunch 13-13:30, talk next door 15-15:45; or none",
        _quiet_default,
        lambda stall, typed, _: replace(stall, quiet=quiet(typed, stall.days)),
        lambda stall, _: (
            [_quiet_told(time) for time in stall.quiet] or ["never; it may sound at any time"]
        ),
    ),
)
