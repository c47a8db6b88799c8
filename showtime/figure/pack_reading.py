"""A pack's tables as they lie in the folder, and what a listener hears in its sentences."""

from __future__ import annotations

import csv
import wave
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from itertools import groupby
from pathlib import Path

from showtime.figure.pack_tables import SETTING_LETTERS
from showtime.figure.pack_windows import Axis
from showtime.wording import Bank

LONGEST_LINE = 500
"""Bytes of a line that a controller reads: the C++ reader has room for 512."""

LONGEST_SILENCE_MS = 2000
LATEST = 30 * 86_400
"""No time in a pack is farther from the day's midnight, in seconds."""


@dataclass(frozen=True, slots=True)
class Clip:
    """A line of CLIPS.CSV."""

    milliseconds: int
    language: str
    text: str


@dataclass(frozen=True, slots=True)
class Read:
    """A line of ANSWERS.CSV."""

    number: int
    kind: str
    start: int
    at: int
    begins: int
    ends: int
    count: int


class Tables:
    """The tables of a folder. What is missing is empty, and what is no table, too."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def bytes(self, name: str) -> bytes:
        file = self.folder / name
        return file.read_bytes() if file.is_file() else b""

    def rows(self, name: str) -> list[list[str]]:
        text = self.bytes(name).decode("utf-8", "replace")
        return list(csv.reader(text.splitlines()))[1:]

    def sounds(self) -> list[str]:
        return [
            file.relative_to(self.folder).as_posix()
            for file in sorted((self.folder / "CLIPS").rglob("*"))
            if file.is_file() and not file.name.startswith(".")
        ]

    @cached_property
    def about(self) -> dict[str, str]:
        return {row[0]: row[1] for row in self.rows("PACK.CSV") if len(row) == 2}

    @cached_property
    def clips(self) -> dict[int, Clip]:
        return {
            int(row[0]): Clip(int(row[1]), row[2], row[4])
            for row in self.rows("CLIPS.CSV")
            if len(row) == 5 and row[0].isdigit() and row[1].isdigit()
        }


def unreadable(file: Path, clip: Clip, rate: str) -> str:
    """Why the clip's file cannot be played as it should be; empty when it can."""
    try:
        with wave.open(str(file), "rb") as sound:
            form = sound.getnchannels(), sound.getsampwidth(), str(sound.getframerate())
            frames = sound.getnframes()
            heard = sound.readframes(frames)
    except FileNotFoundError:
        return "the clip is listed in CLIPS.CSV and is not there"
    except (OSError, EOFError, wave.Error) as cause:
        return f"is no sound that can be played ({cause})"
    if form != (1, 2, rate):
        return f"is not 16-bit mono at {rate} samples a second"
    if len(heard) != 2 * frames or not any(heard):
        return "has no sound in it, or is cut off"
    if abs(frames * 1000 / int(rate) - clip.milliseconds) > 1:
        return f"does not last {clip.milliseconds} ms, as CLIPS.CSV has it"
    return ""


def _read(row: list[str]) -> Read | None:
    """A line of ANSWERS.CSV; None where it is none."""
    try:
        read = Read(int(row[0]), row[1], *(int(field) for field in row[2:]))
    except (ValueError, TypeError, IndexError):
        return None
    sound = -1 <= read.at < LATEST and 0 <= read.begins < read.ends < LATEST
    return read if sound and 0 < read.number < 10_000 else None


class Heard:
    """Every sentence read back. `used` are the clips in them, `minutes` those that can be set."""

    def __init__(self, tables: Tables, banks: Mapping[str, Bank], axis: Axis) -> None:
        self._tables = tables
        self._banks = banks
        self._axis = axis
        self.used: set[int] = set()
        self.answers: list[Read] = []
        self.minutes: set[tuple[str, int]] = set()

    def wrong(self) -> Iterator[str]:
        """What is wrong with lists and sentences."""
        for line, row in enumerate(self._tables.rows("ANSWERS.CSV"), start=2):
            read = _read(row)
            if read is None:
                yield f"ANSWERS.CSV:{line}: is not a line of this table"
                continue
            self.answers.append(read)
            yield from self._list(read)
        if not self.answers:
            yield "ANSWERS.CSV: has no answers"
        for letter in SETTING_LETTERS.values():
            for hour in range(24):
                yield from self._setting(letter, hour)

    def _list(self, read: Read) -> Iterator[str]:
        name = f"WORDS/L{read.number:04}.CSV"
        rows = self._tables.rows(name)
        if len(rows) != read.count or not rows:
            yield f"{name}: has {len(rows)} sentences, not {read.count} as ANSWERS.CSV says"
        if len({tuple(row) for row in rows}) != len(rows):
            yield f"{name}: has a sentence twice"
        at = None if read.at < 0 else self._axis.moment(read.at)
        for line, row in enumerate(rows, start=2):
            for asked in (read.begins, read.ends - 1):
                if why := self._sentence(row[-1] if row else "", at, self._axis.moment(asked)):
                    yield f"{name}:{line}: {why}"
                    break

    def _setting(self, letter: str, hour: int) -> Iterator[str]:
        name = f"WORDS/{letter}{hour:02}.CSV"
        for line, row in enumerate(self._tables.rows(name), start=2):
            if len(row) != 2 or not row[0].isdigit() or int(row[0]) > 59:
                yield f"{name}:{line}: is not a line of this table"
                continue
            moment = self._axis.moment(3600 * hour + 60 * int(row[0]))
            if why := self._sentence(row[1], moment, moment):
                yield f"{name}:{line}: {why}"
            else:
                self.minutes.add((letter, 60 * hour + int(row[0])))

    def _sentence(self, row: str, at: datetime | None, now: datetime) -> str:
        """Why a sentence is not right when it is said then; empty when it is."""
        try:
            tokens = [int(token) for token in row.split()]
        except ValueError:
            return f"is not a row of clips: {row!r}"
        if len(row) > LONGEST_LINE:
            return "is too long for a controller to read"
        if min(tokens, default=0) < -LONGEST_SILENCE_MS:
            return "is silent for too long"
        numbers = [token for token in tokens if token >= 0]
        if absent := [number for number in numbers if number not in self._tables.clips]:
            return f"there is no clip {absent[0]}"
        if not numbers:
            return "says nothing"
        self.used.update(numbers)
        return self._tells(numbers, at, now)

    def _tells(self, numbers: Sequence[int], at: datetime | None, now: datetime) -> str:
        clips = [self._tables.clips[number] for number in numbers]
        spoken = [(k, " ".join(c.text for c in g)) for k, g in groupby(clips, lambda c: c.language)]
        if [language for language, _ in spoken] != list(self._banks):
            return f"is not in the pack's languages, {' '.join(self._banks)}, one after the other"
        for language, text in spoken:
            told = self._banks[language].clock.told(text)
            if at is None and told:
                return f"tells a time and should tell none: {text!r}"
            if at is not None and not (len(told) == 1 and told[0].means(at, now)):
                return f"does not tell {at:%H:%M}, once, when asked at {now:%H:%M}: {text!r}"
        return ""
