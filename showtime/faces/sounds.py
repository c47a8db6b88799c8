"""Voices and sound cards to choose from, as documents and lines."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import wrap
from typing import TYPE_CHECKING

from showtime.faces.documents import Document

if TYPE_CHECKING:
    from showtime.live import SoundCards, VoicesThere


def devices(found: SoundCards) -> Document:
    return {"devices": [{"name": card.name, "default": card.default} for card in found]}


def device_lines(document: Document) -> Iterator[str]:
    if not document["devices"]:
        yield "No sound card was found; plug one in, and look again."
        return
    for card in document["devices"]:
        yield f"{card['name']}{'  (used when none is named)' if card['default'] else ''}"
    yield "To choose one, write its name, or a part that no other has: voice: {device: NAME}"


def voices(found: VoicesThere, language: str) -> Document:
    return {
        "language": language or None,
        "voices": [
            {
                "name": voice.short,
                "title": voice.name,
                "languages": list(voice.languages),
                "chosen": voice == found.chosen,
            }
            for voice in found.voices
        ],
        "variants": list(found.variants),
    }


def voice_lines(document: Document) -> Iterator[str]:
    if not document["voices"]:
        yield f"No voice speaks {document['language']!r}; write its code, such as de or pt-BR."
        return
    width = max(len(voice["name"]) for voice in document["voices"])
    for voice in document["voices"]:
        chosen = "  (speaks when none is named)" if voice["chosen"] else ""
        yield f"{voice['name']:<{width}}  {voice['title']}{chosen}"
    yield ""
    yield "To choose one: voice: {name: NAME}; or a variant of it, such as NAME+croak. Variants:"
    yield from wrap(
        ", ".join(document["variants"]), 96, initial_indent="  ", subsequent_indent="  "
    )
