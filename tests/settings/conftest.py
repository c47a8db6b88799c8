"""A small stall to break, and a desk to lay its files on."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from showtime.fair import Stall, Where
from showtime.settings import SettingsError, load_stall

STALL = """\
fair: Osierholt Curiosity Fair
stall: The Tin Orchard
figure: Barnaby Rook
languages: [en]
timezone: Europe/London
days:
  - {date: 2027-02-13, opens: 10:00, closes: 17:00}
  - {date: 2027-02-14, opens: 10:00, closes: 16:00}
pieces:
  - {name: Frost Bells, lasts: 4 min 30 s, reset: 2 min, level: 74 dBA, heat: 40 K, current: 2 A}
  - {name: The Pear Dance, lasts: 7 min, level: 78 dBA, heat: 55 K, at_most: 6}
neighbours:
  - {name: The Lantern Cart, distance: 3 m}
quiet:
  - {why: story circle, from: 11:30, until: 12:15, margin: 2 min}
caps:
  - {performances: 3, in_any: 60 min}
  - {level: 60 dBA, at: The Lantern Cart, in_any: day}
gap: 6 min
body:
  heat: {time_constant: 25 min, ambient: 21 °C, hold: 8 K, limit: 45 °C}
  battery: {capacity: 10 Ah, keep: 20 %, idle: 0.4 A}
wishes:
  order: [performances, wait]
  start_on: 5 min
  prefer_minutes: [0, 30]
  busy: [{from: 11:00, until: 13:00, worth: 2}]
  fixed: [{at: 15:30, piece: The Pear Dance, why: the judges come by}]
calls:
  - {before: 5 min}
"""


class Desk:
    """Where the keeper's files lie. `▸` in a text marks the place that a problem must name."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.marks: list[Where] = []

    def lay(self, name: str, text: str) -> Path:
        """Write a file, less its marks, which are remembered."""
        path = self.folder / name
        for number, line in enumerate(text.split("\n"), 1):
            while "▸" in line:
                self.marks.append(Where(str(path), number, line.index("▸") + 1))
                line = line.replace("▸", "", 1)
        path.write_text(text.replace("▸", ""), encoding="utf-8")
        return path

    def stall(self, text: str = STALL) -> Stall:
        """The stall of these settings, which must be right."""
        return load_stall(self.lay("stall.yaml", text))

    def changed(self, *changes: tuple[str, str]) -> str:
        """The small stall's settings with each `old` text, which must be there once, as `new`."""
        text = STALL
        for old, new in changes:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        return text

    def complaints(self, text: str, name: str = "stall.yaml") -> SettingsError:
        """What is said about settings that are wrong."""
        path = self.lay(name, text)
        with pytest.raises(SettingsError) as caught:
            load_stall(path)
        return caught.value

    def complaint(self, *changes: tuple[str, str]) -> str:
        """The one thing that is said about the changed stall, which must be at the mark."""
        error = self.complaints(self.changed(*changes))
        assert [problem.where for problem in error.problems] == self.marks, str(error)
        return error.problems[0].message


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


@pytest.fixture
def small_stall() -> str:
    return STALL


Changed = Callable[..., str]
