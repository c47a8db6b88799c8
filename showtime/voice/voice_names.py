"""Which of the synthesiser's voices speaks a language, and what a keeper may call it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

T = TypeVar("T")

CLEAREST = {"en": "gmw/en-us"}
"""Where a language has several voices: the one that a speech recogniser understood best."""


@dataclass(frozen=True, slots=True)
class VoiceFile:
    """A voice as the synthesiser lists it: `id` such as gmw/en-us, a display name, languages."""

    id: str
    name: str
    languages: tuple[str, ...]

    @property
    def short(self) -> str:
        """The id without its family: en-us."""
        return self.id.rpartition("/")[2]

    def speaks(self, language: str) -> bool:
        """True when the main part of `language` is the same: a British voice speaks en-US."""
        wanted = _main_part(language)
        return any(_main_part(tag) == wanted for tag in (self.short, *self.languages))


@dataclass(frozen=True, slots=True)
class Voices:
    """What a keeper can choose from: voices, of which `chosen` speaks when none is named, and
    variants that each of them can have (en-us+croak)."""

    voices: tuple[VoiceFile, ...]
    variants: tuple[str, ...]
    chosen: VoiceFile | None = None


def voice_for(voices: Sequence[VoiceFile], language: str) -> VoiceFile | None:
    """The voice for a language tag such as en, fr or pt-BR; None when there is none."""
    tag = language.lower().replace("_", "-")
    clearest = [voice for voice in voices if voice.id == CLEAREST.get(tag)]
    exact = [voice for voice in voices if tag == voice.short or tag in voice.languages]
    close = [voice for voice in voices if voice.speaks(tag)]
    return next(iter(clearest + exact + close), None)


def voice_named(voices: Sequence[VoiceFile], name: str) -> VoiceFile | None:
    """The voice a keeper calls `name`: its id, short id or display name, in any case."""
    wanted = name.strip().lower()
    return next(
        (
            voice
            for voice in voices
            if wanted in (voice.id, voice.short, voice.name.lower(), *voice.languages)
        ),
        None,
    )


def in_language(by_tag: Mapping[str, T], language: str) -> T | None:
    """What there is for a language tag, or else for its main part: en for en-GB."""
    known = {tag.lower().replace("_", "-"): value for tag, value in by_tag.items()}
    wanted = language.lower().replace("_", "-")
    return known.get(wanted, known.get(_main_part(wanted)))


def near_names(wanted: str, names: Sequence[str]) -> list[str]:
    """Up to three of `names` that look like `wanted`, the nearest first, in any case."""
    from difflib import get_close_matches

    by_lower = {name.lower(): name for name in names}
    near = get_close_matches(wanted.lower(), by_lower, n=3, cutoff=0.5)
    held = [low for low in by_lower if wanted and wanted.lower() in low and low not in near]
    return [by_lower[low] for low in (near + held)[:3]]


def _main_part(tag: str) -> str:
    return tag.lower().replace("_", "-").partition("-")[0]
