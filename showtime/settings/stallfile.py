"""The keys of a stall's settings: the one place that says which there are."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import ClassVar, Literal
from zoneinfo import ZoneInfo

from showtime.fair import Answers
from showtime.fair.wishes import Wish
from showtime.settings.controllerfile import ControllerGroup
from showtime.settings.inputsfile import InputGroup
from showtime.settings.joiningfile import JoiningGroup
from showtime.settings.keeperfile import KeeperGroup
from showtime.settings.kinds import Choice, Factor, Language, ListOf, Text, Whole
from showtime.settings.model import Group, GroupOf, given, optional, required
from showtime.settings.quantity import (
    CHARGE,
    CURRENT,
    DISTANCE,
    LEVEL,
    RISE,
    SHARE,
    WARMTH,
    ZERO,
    Length,
    Stretch,
)
from showtime.settings.times import ClockTime, Date, Zone
from showtime.settings.voicefile import VoiceGroup

model = dataclass(frozen=True, kw_only=True, eq=False, repr=False)
DAYS = ListOf(Date(), most=60, least=1, distinct=True)
ANSWERS = Choice(Answers)


@model
class DayGroup(Group):
    example: ClassVar[str] = "{date: 2027-02-13, opens: 10:00, closes: 17:00}"
    date: date = required(Date(), "a day of the fair")
    opens: timedelta = required(ClockTime("10:00"), "when visitors come in")
    closes: timedelta = required(
        ClockTime("17:00"), "when they leave; at or before `opens`: after midnight"
    )


@model
class PieceGroup(Group):
    example: ClassVar[str] = "{name: Frost Bells, lasts: 4 min 30 s, level: 74 dBA}"
    name: str = required(Text("Frost Bells"), "its name, as it is spoken")
    lasts: timedelta = required(Length("4 min 30 s"), "how long it sounds")
    reset: timedelta = given(Length("2 min", least=ZERO), "the least rest after it", ZERO)
    level: float | None = optional(LEVEL, "how loud it is at 1 m")
    heat: float | None = optional(
        RISE, "how far above ambient the motors would warm if it never ended"
    )
    current: float = given(CURRENT, "what it draws beside the idle current", 0.0)
    at_most: int | None = optional(Whole("6"), "how often a day at most")
    answers: Answers = given(ANSWERS, "how a question is answered while it plays", Answers.SOFTLY)


@model
class NeighbourGroup(Group):
    example: ClassVar[str] = "{name: The Lantern Cart, distance: 3 m}"
    name: str = required(Text("The Lantern Cart"), "whom the figure might disturb")
    distance: float = required(DISTANCE, "how far away they are")


@model
class QuietGroup(Group):
    example: ClassVar[str] = "{why: lunch, from: 13:00, until: 13:30}"
    one_of: ClassVar[tuple[str, ...]] = ("from", "calendar")
    goes_with: ClassVar[dict[str, str]] = {"from": "until", "until": "from", "every": "from"}
    why: str = required(Text("the keeper's lunch"), "why it is quiet, in words for visitors")
    from_: timedelta | None = optional(ClockTime("13:00"), "when it begins")
    until: timedelta | None = optional(ClockTime("13:30"), "when it ends")
    every: timedelta | None = optional(
        Length("60 min", least=timedelta(minutes=1)), "how soon it comes again, until closing"
    )
    calendar: str | None = optional(
        Text("recitals.ics"), "a calendar file whose events are quiet intervals"
    )
    margin: timedelta = given(
        Length("2 min", least=ZERO, most=timedelta(hours=3)), "widens it on both sides", ZERO
    )
    days: tuple[date, ...] | None = optional(DAYS, "the days it is for; left out: all")
    answers: Answers = given(ANSWERS, "how a question is answered in it", Answers.SILENT)


@model
class CapGroup(Group):
    example: ClassVar[str] = "{performances: 3, in_any: 60 min}"
    one_of: ClassVar[tuple[str, ...]] = ("performances", "sounding", "level")
    goes_with: ClassVar[dict[str, str]] = {"level": "at", "at": "level"}
    why: str = given(Text("fair rule"), "who asks for it, or why", "")
    performances: int | None = optional(Whole("3"), "how many may start")
    sounding: timedelta | None = optional(Length("15 min"), "how long the figure may sound")
    level: float | None = optional(LEVEL, "the mean level that a neighbour may hear")
    at: str | None = optional(Text("The Lantern Cart"), "the neighbour who hears it")
    in_any: timedelta | Literal["day"] = required(
        Stretch(), "in any stretch of this length, or in the whole day"
    )


@model
class HeatGroup(Group):
    example: ClassVar[str] = "{time_constant: 25 min, ambient: 21 °C, hold: 8 K, limit: 45 °C}"
    time_constant: timedelta = required(
        Length("25 min"), "how long the motors take for 63 % of a change in temperature"
    )
    ambient: float = required(WARMTH, "how warm the air is")
    hold: float = given(RISE, "how far above that motors at rest stay, when kept powered", 0.0)
    limit: float = required(WARMTH, "how warm the motors may become")


@model
class BatteryGroup(Group):
    example: ClassVar[str] = "{capacity: 7 Ah, keep: 20 %, idle: 0.4 A}"
    capacity: float = required(CHARGE, "what the full battery holds")
    keep: float = given(SHARE, "the share that must be left at closing", 0.0)
    idle: float = given(CURRENT, "what flows all day", 0.0)


@model
class BodyGroup(Group):
    partial: ClassVar[bool] = True
    example: ClassVar[str] = f"{{battery: {BatteryGroup.example}}}"
    heat: HeatGroup | None = optional(GroupOf(HeatGroup), "how the motors warm and cool")
    battery: BatteryGroup | None = optional(GroupOf(BatteryGroup), "what the day may draw")


@model
class BusyGroup(Group):
    example: ClassVar[str] = "{from: 11:00, until: 13:00, worth: 2}"
    from_: timedelta = required(ClockTime("11:00"), "when it begins")
    until: timedelta = required(ClockTime("13:00"), "when it ends")
    worth: float = required(Factor("2"), "what a performance in it counts")
    days: tuple[date, ...] | None = optional(DAYS, "the days it is for; left out: all")


@model
class FixedGroup(Group):
    example: ClassVar[str] = "{at: 15:30, piece: The Pear Dance}"
    at: timedelta = required(ClockTime("15:30"), "when it starts")
    piece: str | None = optional(Text("The Pear Dance"), "which piece; left out: any")
    why: str = given(Text("the judges come by"), "why", "")
    days: tuple[date, ...] | None = optional(DAYS, "the days it is for; left out: all")


@model
class WishesGroup(Group):
    partial: ClassVar[bool] = True
    example: ClassVar[str] = "{performances: 18, start_on: 5 min}"
    order: tuple[Wish, ...] = given(
        ListOf(Choice(Wish), least=1, distinct=True),
        "what counts most, then next; may be shortened",
        tuple(Wish),
    )
    performances: int | None = optional(Whole("18"), "no more than this a day")
    start_on: timedelta = given(
        Length("5 min", least=timedelta(seconds=1), most=timedelta(hours=1)),
        "starts fall on this grid, counted from the hour",
        timedelta(minutes=5),
    )
    prefer_minutes: tuple[int, ...] = given(
        ListOf(Whole("30", least=0, most=59), distinct=True),
        "minutes of the hour, the best first",
        (),
    )
    busy: tuple[BusyGroup, ...] = given(
        ListOf(GroupOf(BusyGroup)), "when performances are worth more", ()
    )
    fixed: tuple[FixedGroup, ...] = given(
        ListOf(GroupOf(FixedGroup)), "performances that must be", ()
    )


@model
class CallGroup(Group):
    example: ClassVar[str] = "{before: 5 min}"
    before: timedelta = required(Length("5 min"), "how long before a performance")


@model
class StallFile(Group):
    """A stall's settings."""

    partial: ClassVar[bool] = True
    fair: str | None = optional(Text("Osierholt Curiosity Fair"), "the fair's name")
    stall: str = required(Text("The Tin Orchard"), "the stall's name", "")
    figure: str = required(Text("Barnaby Rook"), "the figure's name", "")
    languages: tuple[str, ...] = given(
        ListOf(Language(), most=20, least=1, distinct=True),
        "phrase banks; the first is the default",
        ("en",),
    )
    answers_in: tuple[str, ...] = given(
        ListOf(Language(), most=20, distinct=True),
        "the languages of each answer, one after the other; left out: the first",
        (),
    )
    timezone: ZoneInfo | None = optional(Zone(), "the zone that its times are in")
    organiser: str | None = optional(
        Text("osierholt-fair.yaml"), "the fair's file: days, quiet intervals and caps come from it"
    )
    days: tuple[DayGroup, ...] = given(
        ListOf(GroupOf(DayGroup), most=60), "the days of the fair", ()
    )
    pieces: tuple[PieceGroup, ...] = required(
        ListOf(GroupOf(PieceGroup), most=50, least=1), "what the figure performs", ()
    )
    neighbours: tuple[NeighbourGroup, ...] = given(
        ListOf(GroupOf(NeighbourGroup)), "who hears it", ()
    )
    quiet: tuple[QuietGroup, ...] = given(ListOf(GroupOf(QuietGroup)), "when nothing may sound", ())
    caps: tuple[CapGroup, ...] = given(ListOf(GroupOf(CapGroup)), "limits", ())
    gap: timedelta = given(
        Length("6 min", least=ZERO), "from the end of one performance to the next start", ZERO
    )
    body: BodyGroup | None = optional(GroupOf(BodyGroup), "what the figure itself can bear")
    wishes: WishesGroup | None = optional(GroupOf(WishesGroup), "what the keeper would like")
    calls: tuple[CallGroup, ...] = given(
        ListOf(GroupOf(CallGroup), most=20), "unasked calls before a performance", ()
    )
    voice: VoiceGroup | None = optional(GroupOf(VoiceGroup), "how the figure speaks")
    controller: ControllerGroup | None = optional(
        GroupOf(ControllerGroup), "the figure's own controller; left out: nothing is wired up"
    )
    inputs: tuple[InputGroup, ...] = given(
        ListOf(GroupOf(InputGroup), most=20), "what there is to press, turn and walk past", ()
    )
    fairnet: JoiningGroup | None = optional(
        GroupOf(JoiningGroup), "how it joins the line between the fair's stalls"
    )
    keeper: KeeperGroup | None = optional(
        GroupOf(KeeperGroup), "how the neighbours reach the keeper"
    )
    keep_within: timedelta = given(
        Length("60 s", most=timedelta(minutes=30)),
        "a promise is kept when the start is no further from it than this",
        timedelta(seconds=60),
    )
