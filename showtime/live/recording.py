"""The maker's own voice, at the desk: what to read, what a recording gave, what is missing."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from showtime.fair import ShowtimeError
from showtime.live.asked import QuestionError
from showtime.live.desk import Desk
from showtime.live.speaking import voice_of
from showtime.voice import Clip, VoiceError
from showtime.voice.recorded import Cut, Kept, Wanted, cut, keep, read_recording, recorded_in
from showtime.wording import (
    Bank,
    Kind,
    Missing,
    Script,
    Situation,
    missing_from,
    script_of,
    seconds_to_say,
    situations_of,
)

FOLDER = Path("recorded-voice")
"""Where a recorded voice is kept unless the settings or the maker name another folder."""

WORTH, _ONLY_THE_FEWEST = 0.01, 9.0
"""Joins a sentence that a fragment beyond the fewest must spare: one in a hundred sentences, which
makes the demo's English list a tenth longer with a third fewer joins; and more than any can."""

_LINE = re.compile(r"\s*(\d+)[.)]\s+(\S.*?)\s*(?:…\s*)?")


Reading = Cut
"""What was found in a recording."""


class RecordedError(ShowtimeError):
    """A recording or script that cannot be used; the message says why and what to do."""


@dataclass(frozen=True)
class Extent:
    """What a recording is to cover: which situations, and which times. `smallest`: no fragment
    beyond the fewest; `missing`: only what is not recorded yet."""

    kinds: tuple[Kind, ...] = tuple(Kind)
    every_minute: bool = False
    smallest: bool = False
    missing: bool = False

    @classmethod
    def of(
        cls, situations: Sequence[str], every_minute: bool, smallest: bool, missing: bool
    ) -> Extent:
        """By the situations' names, none for all; QuestionError for a name that is none."""
        known = [kind.value for kind in Kind]
        for name in situations:
            if name not in known:
                raise QuestionError(
                    f"--situation {name}: no such one; there are {', '.join(known)}"
                )
        kinds = tuple(kind for kind in Kind if not situations or kind.value in situations)
        return cls(kinds, every_minute, smallest, missing)


@dataclass(frozen=True)
class RecordingDesk:
    """A stall's recorded voice in one language."""

    desk: Desk
    bank: Bank
    folder: Path
    extent: Extent

    @classmethod
    def of(cls, desk: Desk, language: str, folder: Path | None, extent: Extent) -> RecordingDesk:
        chosen = folder or desk.stall.speaking.recorded or FOLDER
        return cls(desk, desk.bank(language), Path(chosen), extent)

    @cached_property
    def _situations(self) -> list[Situation]:
        return list(situations_of(self.desk.stall, every_minute=self.extent.every_minute))

    def kept(self) -> tuple[Kept, ...]:
        """What is recorded in the language."""
        try:
            return recorded_in(self.folder, self.bank.language)
        except VoiceError as cause:
            raise RecordedError(str(cause)) from cause

    def script(self) -> Script:
        """What the maker reads out."""
        kinds = self.extent.kinds
        worth = _ONLY_THE_FEWEST if self.extent.smallest else WORTH
        script = script_of(self.bank, self._situations, kinds=kinds, worth=worth)
        if not self.extent.missing or not self.kept():
            return script
        return replace(script, fragments=self.missing().fragments)

    def missing(self) -> Missing:
        """What the maker still has to read, and what nothing needs any more."""
        texts = [kept.text for kept in self.kept()]
        return missing_from(self.bank, self._situations, texts, kinds=self.extent.kinds)

    def cut(self, recording: Path, script: Path | None) -> Reading:
        """The fragments of the script, or of those in a file, found in the recording."""
        wanted = _read_script(script) if script else _wanted(self.script())
        if not wanted:
            raise RecordedError("everything is recorded already; leave --missing out to read anew")
        try:
            return cut(read_recording(recording), wanted, self._spoken)
        except VoiceError as cause:
            raise RecordedError(str(cause)) from cause

    def keep(self, found: Reading) -> None:
        """Puts what was found into the folder, in place of earlier recordings of it."""
        try:
            keep(
                self.folder,
                self.bank.language,
                {take.wanted.text: take.clip for take in found.takes},
            )
        except VoiceError as cause:
            raise RecordedError(str(cause)) from cause

    def write(self, file: Path, content: bytes) -> None:
        """A script into a file."""
        try:
            file.write_bytes(content)
        except OSError as cause:
            why = (cause.strerror or str(cause)).lower()
            raise RecordedError(f"{file}: cannot be written ({why})") from cause

    def _spoken(self, text: str) -> Clip:
        return voice_of(self.desk.stall.speaking, {}).render(text, self.bank.language)


def _wanted(script: Script) -> list[Wanted]:
    return [
        Wanted(number, each.text, each.seconds)
        for number, each in enumerate(script.fragments, start=1)
    ]


def _read_script(path: Path) -> list[Wanted]:
    """The numbered lines of a script that was written to a file; its other lines are for reading.
    Lines may have been deleted."""
    try:
        lines = path.read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as cause:
        raise RecordedError(f"{path}: cannot be read as a script ({cause})") from cause
    found: Sequence[re.Match[str] | None] = [_LINE.fullmatch(line) for line in lines]
    wanted = [
        Wanted(int(each[1]), each[2], seconds_to_say(each[2])) for each in found if each is not None
    ]
    if not wanted:
        raise RecordedError(
            f"{path}: has no numbered lines; make one with showtime voice script --out {path.name}"
        )
    return wanted
