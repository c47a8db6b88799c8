"""The keys of a fair's file, which its organiser writes for all stalls."""

from __future__ import annotations

from typing import Any, ClassVar
from zoneinfo import ZoneInfo

from showtime.settings.kinds import ListOf, Schema, Text, Whole
from showtime.settings.model import (
    Group,
    GroupOf,
    given,
    group_schema,
    optional,
    required,
)
from showtime.settings.problem import Problems
from showtime.settings.quantity import DISTANCE, PLACE
from showtime.settings.stallfile import CapGroup, DayGroup, QuietGroup, StallFile, model
from showtime.settings.times import Zone
from showtime.settings.tree import Mapping, Node


@model
class TogetherGroup(Group):
    example: ClassVar[str] = "{stalls: 1, within: 6 m}"
    stalls: int = required(Whole("1", most=1000), "how many may sound at once")
    within: float | None = optional(DISTANCE, "of those this near; left out: in the whole hall")


@model
class PlaceGroup(Group):
    example: ClassVar[str] = "{x: 0 m, y: 4.5 m}"
    x: float = required(PLACE, "how far to the right on the hall's drawing")
    y: float = required(PLACE, "how far up on it")


@model
class StallByFile(Group):
    example: ClassVar[str] = "{file: tin-orchard.yaml, place: {x: 0 m, y: 0 m}}"
    file: str = required(Text("tin-orchard.yaml"), "the stall's settings")
    place: PlaceGroup | None = optional(GroupOf(PlaceGroup), "where it stands")


@model
class StallInPlace(StallFile):
    """A stall whose settings stand in the fair's own file."""

    example: ClassVar[str] = StallByFile.example
    place: PlaceGroup | None = optional(GroupOf(PlaceGroup), "where it stands")


class _StallEntry:
    """The kind of an entry of `stalls`: a file, or settings in place."""

    example = StallByFile.example

    def read(self, node: Node, problems: Problems) -> StallByFile | StallInPlace | None:
        in_place = isinstance(node, Mapping) and node.get("stall") and not node.get("file")
        return GroupOf[Any](StallInPlace if in_place else StallByFile).read(node, problems)

    def schema(self) -> Schema:
        return {"anyOf": [group_schema(StallByFile), group_schema(StallInPlace)]}


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
    caps: tuple[CapGroup, ...] = given(ListOf(GroupOf(CapGroup)), "limits for every stall", ())
    together: tuple[TogetherGroup, ...] = given(
        ListOf(GroupOf(TogetherGroup)), "how many stalls may sound at once", ()
    )
    stalls: tuple[StallByFile | StallInPlace, ...] = given(
        ListOf(_StallEntry()), "the stalls of the fair", ()
    )
