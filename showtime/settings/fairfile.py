"""The keys of a fair's file, which its organiser writes for all stalls."""

from __future__ import annotations

from datetime import timedelta
from typing import Any, ClassVar, Literal
from zoneinfo import ZoneInfo

from showtime.settings.kinds import ListOf, Schema, Text, Whole
from showtime.settings.model import (
    Group,
    GroupOf,
    given,
    group_schema,
    keys,
    optional,
    required,
)
from showtime.settings.problem import Problems
from showtime.settings.quantity import DISTANCE, LEVEL, PLACE, Stretch
from showtime.settings.stallfile import CapGroup, DayGroup, QuietGroup, StallFile, model
from showtime.settings.times import Zone
from showtime.settings.tree import Mapping, Node

MOST_STALLS = 2000
NAMES = ListOf(Text("The Tin Orchard"), most=MOST_STALLS, least=1, distinct=True)


@model
class FairCapGroup(CapGroup):
    """A cap for every stall, or for some of them."""

    stalls: tuple[str, ...] | None = optional(NAMES, "the stalls it is for; left out: every one")


@model
class TogetherGroup(Group):
    example: ClassVar[str] = "{stalls: 1, within: 6 m}"
    stalls: int = required(Whole("1", most=MOST_STALLS), "how many may sound at once")
    within: float | None = optional(DISTANCE, "of those this near; left out: in the whole hall")
    why: str = given(Text("fair rule"), "who asks for it, or why", "")


@model
class HallNoiseGroup(Group):
    example: ClassVar[str] = "{level: 62 dBA, in_any: 60 min}"
    level: float = required(LEVEL, "what a stall may hear of all others together, on average")
    in_any: timedelta | Literal["day"] = required(
        Stretch(), "over any stretch of this length, or over the stall's open hours"
    )
    stalls: tuple[str, ...] | None = optional(NAMES, "those who hear it; left out: every one")
    why: str = given(Text("fair rule"), "who asks for it, or why", "")


@model
class PlaceGroup(Group):
    example: ClassVar[str] = "{x: 0 m, y: 4.5 m}"
    x: float = required(PLACE, "how far to the right on the hall's drawing")
    y: float = required(PLACE, "how far up on it")


@model
class StallByFile(Group):
    partial: ClassVar[bool] = True
    example: ClassVar[str] = "{file: tin-orchard.yaml, place: {x: 0 m, y: 0 m}}"
    file: str = required(Text("tin-orchard.yaml"), "the stall's settings", "")
    place: PlaceGroup | None = required(GroupOf(PlaceGroup), "where it stands")


@model
class StallInPlace(StallFile):
    """A stall whose settings stand in the fair's own file."""

    example: ClassVar[str] = StallByFile.example
    place: PlaceGroup | None = required(GroupOf(PlaceGroup), "where it stands")


class _StallEntry:
    """The kind of an entry of `stalls`: a file, or settings in place."""

    example = StallByFile.example

    def read(self, node: Node, problems: Problems) -> StallByFile | StallInPlace | None:
        there = {pair.key.text for pair in node.pairs} if isinstance(node, Mapping) else set()
        in_place = there & _IN_PLACE
        if in_place and "file" in there:
            here = min(in_place, key=[key.name for key in keys(StallFile)].index)
            problems.add(
                node.where,
                f"'file' and '{here}' stand here both; leave out 'file', or all but it and 'place'",
            )
            return None
        return GroupOf[Any](StallInPlace if in_place else StallByFile).read(node, problems)

    def schema(self) -> Schema:
        return {
            "if": {"required": ["file"]},
            "then": group_schema(StallByFile),
            "else": group_schema(StallInPlace),
        }


_IN_PLACE = {key.name for key in keys(StallFile)}
"""The keys of a stall: an entry that has one, and no file, has its settings here."""


class _Patterns:
    """The kind of what is only there to be named by anchors: it is judged where it is used."""

    example = "[&small {pieces: [{name: The Fold, lasts: 3 min}]}]"

    def read(self, node: Node, problems: Problems) -> bool:
        return True

    def schema(self) -> Schema:
        return {"type": ["object", "array", "null"]}


@model
class FairFile(Group):
    """What holds for all stalls of a fair."""

    partial: ClassVar[bool] = True
    fair: str = required(Text("Osierholt Curiosity Fair"), "the fair's name", "")
    timezone: ZoneInfo | None = optional(Zone(), "the zone that its times are in")
    days: tuple[DayGroup, ...] = given(
        ListOf(GroupOf(DayGroup), most=60), "the days of the fair", ()
    )
    quiet: tuple[QuietGroup, ...] = given(
        ListOf(GroupOf(QuietGroup)), "when nothing may sound at any stall", ()
    )
    caps: tuple[FairCapGroup, ...] = given(
        ListOf(GroupOf(FairCapGroup)), "limits for every stall, or for some", ()
    )
    together: tuple[TogetherGroup, ...] = given(
        ListOf(GroupOf(TogetherGroup)), "how many stalls may sound at once", ()
    )
    noise: tuple[HallNoiseGroup, ...] = given(
        ListOf(GroupOf(HallNoiseGroup)), "how loud all others may be at a stall", ()
    )
    patterns: bool = given(
        _Patterns(), "what several stalls share, with anchors: <<: *name brings it in", False
    )
    stalls: tuple[StallByFile | StallInPlace, ...] = given(
        ListOf(_StallEntry(), most=MOST_STALLS), "the stalls of the fair", ()
    )
