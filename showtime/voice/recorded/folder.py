"""Where a recorded voice is kept: a folder a language, a sound file a fragment, and an index.

The index alone says what there is. Sound files are written first, under names of their own, then
the index in one step, then files that it no longer names are removed; so whenever the power goes,
the voice is whole, the old one or the new.
"""

from __future__ import annotations

import json
import os
import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from showtime.voice.clip import Clip
from showtime.voice.recorded.reading import RecordingError
from showtime.voice.wave_file import write_wav

INDEX = "index.json"
FORMAT = 1


@dataclass(frozen=True, slots=True)
class Kept:
    """A fragment that is recorded: its text as in the script, and its file in the folder."""

    text: str
    file: Path


def recorded_in(folder: Path, language: str) -> tuple[Kept, ...]:
    """What is recorded for the language; nothing when there is no index. RecordingError when the
    index cannot be read."""
    place = folder / language
    index = place / INDEX
    try:
        written = json.loads(index.read_text("utf-8"))
    except (FileNotFoundError, NotADirectoryError):
        return ()
    except (OSError, ValueError) as cause:
        raise RecordingError(
            f"{index}: cannot be read ({cause}); cut the recording again"
        ) from cause
    try:
        return tuple(Kept(each["text"], place / each["file"]) for each in written["fragments"])
    except (KeyError, TypeError) as cause:
        raise RecordingError(f"{index}: is not an index of fragments; cut again") from cause


def keep(
    folder: Path, language: str, clips: Mapping[str, Clip], forget: Iterable[str] = ()
) -> tuple[Kept, ...]:
    """Adds the clips, by their texts, to what is recorded; a text there is replaced.

    RecordingError when the folder cannot be written to; then nothing has changed.
    """
    place = folder / language
    before = {kept.text: kept.file for kept in recorded_in(folder, language)}
    after = {text: file for text, file in before.items() if text not in set(forget)}
    try:
        place.mkdir(parents=True, exist_ok=True)
        taken = {file.name for file in place.iterdir()}
        for text, clip in clips.items():
            after[text] = place / _free_name(text, taken)
            write_wav(clip, after[text])
        _write_index(place, language, after)
        for file in set(before.values()) - set(after.values()):
            file.unlink(missing_ok=True)
    except OSError as cause:
        raise RecordingError(
            f"{place}: cannot be written ({cause.strerror}); choose another folder"
        ) from cause
    return tuple(Kept(text, file) for text, file in after.items())


def _write_index(place: Path, language: str, files: Mapping[str, Path]) -> None:
    fragments = [{"text": text, "file": file.name} for text, file in files.items()]
    document = {"format": FORMAT, "language": language, "fragments": fragments}
    fresh = place / (INDEX + ".new")
    with fresh.open("w", encoding="utf-8") as file:
        json.dump(document, file, ensure_ascii=False, indent=1)
        file.flush()
        os.fsync(file.fileno())
    fresh.replace(place / INDEX)


def _free_name(text: str, taken: set[str]) -> str:
    """A file name that shows the words, and is not in use yet."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    slug = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40] or "fragment"
    number = 1
    while (name := f"{slug}-{number}.wav") in taken:
        number += 1
    taken.add(name)
    return name
