"""The keys that say how the figure speaks, and the values they become."""

from __future__ import annotations

from collections.abc import Mapping as Table
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar, Generic, TypeVar

from showtime.fair import Channels, Chime, Manner, Speaking
from showtime.settings.kinds import Choice, Language, Schema, Text, closest
from showtime.settings.model import Group, GroupOf, given, group_schema, optional
from showtime.settings.problem import Problems
from showtime.settings.quantity import PACE, PITCH, VOLUME
from showtime.settings.tree import Mapping, Node

model = dataclass(frozen=True, kw_only=True, eq=False, repr=False)
M = TypeVar("M", bound=Group)


@dataclass(frozen=True)
class ByLanguage(Generic[M]):
    """A group of keys for each of some languages."""

    model: type[M]

    @property
    def example(self) -> str:
        return f"{{de: {self.model.example}}}"

    def read(self, node: Node, problems: Problems) -> Table[str, M] | None:
        if not isinstance(node, Mapping):
            problems.add(node.where, f"languages with keys belong here; write {self.example}")
            return None
        found = {}
        for pair in node.pairs:
            language = Language("de").read(pair.key, problems)
            group = GroupOf(self.model).read(pair.value, problems)
            if language is not None and group is not None:
                found[language] = group
        return found

    def schema(self) -> Schema:
        return {"type": "object", "additionalProperties": group_schema(self.model)}


@model
class MannerGroup(Group):
    example: ClassVar[str] = "{name: de, rate: 150 words/min}"
    name: str | None = optional(Text("en-gb"), "the voice's name: showtime voice voices")
    rate: float | None = optional(PACE, "how fast it speaks")
    pitch: float | None = optional(PITCH, "how high, beside the voice's own pitch")
    volume: float | None = optional(VOLUME, "how loud; 50 % is 6 dB softer than 100 %")


@model
class VoiceGroup(MannerGroup):
    example: ClassVar[str] = "{name: en-gb, rate: 170 words/min}"
    device: str = given(
        Text("USB Audio"), "the sound card that it is heard from: showtime voice devices", ""
    )
    channels: Channels = given(
        Choice(Channels),
        "one channel for all loudspeakers, both alike, or the left or right one alone",
        Channels.ONE,
    )
    chime: Chime = given(Choice(Chime), "a short sound before the words", Chime.NONE)
    recorded: str | None = optional(Text("my-voice"), "the folder of a voice that you recorded")
    by_language: Table[str, MannerGroup] | None = optional(
        ByLanguage(MannerGroup), "what is different in a language"
    )


def speaking(
    group: VoiceGroup | None, languages: tuple[str, ...], folder: Path, problems: Problems
) -> Speaking:
    """The keeper's choices. One for a language that is not among `languages` is a problem, unless
    these are not known."""
    if group is None:
        return Speaking()
    every = _manner(group, None)
    by_language = group.by_language or {}
    written = group.node.get("by_language")
    for pair in written.pairs if isinstance(written, Mapping) else ():
        tag = pair.key.text
        if languages and tag in by_language and tag not in languages:
            problems.add(
                pair.key.where,
                f"'{tag}' is not among the figure's 'languages'; {closest(tag, [*languages])}",
            )
    return Speaking(
        every.voice,
        every.words_a_minute,
        group.device,
        every.where,
        every.pitch,
        every.volume,
        group.channels,
        group.chime,
        folder / group.recorded if group.recorded else None,
        {tag: _manner(one, every) for tag, one in by_language.items()},
    )


def _manner(group: MannerGroup, every: Manner | None) -> Manner:
    """What a group says; what it leaves open is as for every language."""
    other = every or Manner()
    return Manner(
        other.voice if group.name is None else group.name,
        other.words_a_minute if group.rate is None else round(group.rate),
        other.pitch if group.pitch is None else group.pitch,
        other.volume if group.volume is None else group.volume,
        group.where_of("name") if group.name is not None else other.where,
    )
