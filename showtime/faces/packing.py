"""What a pack came to, and what is wrong with one; for --json and as lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Protocol

Document = dict[str, Any]

MOST_LISTED = 40


class Packed(Protocol):
    """A pack that was written."""

    @property
    def folder(self) -> Path: ...
    @property
    def day(self) -> str: ...
    @property
    def languages(self) -> tuple[str, ...]: ...
    @property
    def performances(self) -> int: ...
    @property
    def answers(self) -> int: ...
    @property
    def sentences(self) -> int: ...
    @property
    def fewest(self) -> int: ...
    @property
    def clips(self) -> int: ...
    @property
    def embedded(self) -> int: ...
    @property
    def seconds_of_sound(self) -> float: ...
    @property
    def files(self) -> int: ...
    @property
    def bytes(self) -> int: ...
    @property
    def limit(self) -> int: ...
    @property
    def own_voice(self) -> bool: ...


def document(of: Packed) -> Document:
    """The pack as --json gives it."""
    return {
        "folder": str(of.folder),
        "day": of.day,
        "languages": list(of.languages),
        "performances": of.performances,
        "answers": of.answers,
        "sentences": of.sentences,
        "fewest_of_next": of.fewest,
        "clips": of.clips,
        "embedded": of.embedded,
        "own_voice": of.own_voice,
        "seconds_of_sound": round(of.seconds_of_sound, 1),
        "files": of.files,
        "bytes": of.bytes,
        "limit": of.limit,
    }


def lines(document: Document) -> Iterator[str]:
    """The same for a person."""
    yield f"{document['folder']}: {document['day']}, {document['performances']} performances"
    yield (
        f"{document['sentences']} sentences for {document['answers']} answers, at least "
        f"{document['fewest_of_next']} for each start; in {', '.join(document['languages'])}"
    )
    yield (
        f"{document['clips']} clips, {document['seconds_of_sound'] / 60:.1f} minutes; "
        f"{document['bytes'] / 1e6:.1f} MB of {document['limit'] / 1e6:g} MB, "
        f"{document['files']} files"
    )
    yield "Its README.TXT tells the rest."
    yield f"Check the copy on the card: showtime pack --verify {document['folder']}"


def verified(folder: Path, wrong: Sequence[str]) -> Iterator[str]:
    """What a check of a pack found."""
    yield from (f"wrong: {each}" for each in wrong[:MOST_LISTED])
    if len(wrong) > MOST_LISTED:
        yield f"wrong: and {len(wrong) - MOST_LISTED} more; --json has them all"
    yield f"{folder}: {'not right' if wrong else 'complete and right'}"
