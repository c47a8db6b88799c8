"""A small stall and a small fair to break, and a desk to lay their files on."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from showtime.fair import Stall, Where
from showtime.fair.hall import Fair
from showtime.settings import SettingsError, load_fair, load_stall

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

FAIR = """\
fair: Osierholt Curiosity Fair
timezone: Europe/London
days:
  - {date: 2027-02-13, opens: 10:00, closes: 17:00}
  - {date: 2027-02-14, opens: 10:00, closes: 16:00}
quiet:
  - {why: opening speech, from: 10:00, until: 10:10, days: [2027-02-13]}
caps:
  - {why: fair rule, performances: 4, in_any: 60 min}
  - {why: reading corner, sounding: 12 min, in_any: 60 min, stalls: [The Paper Menagerie]}
together:
  - {why: neighbours, stalls: 1, within: 4 m}
  - {stalls: 2}
noise:
  - {why: stories are told, level: 62 dBA, in_any: 60 min, stalls: [The Lantern Cart]}
stalls:
  - {file: orchard.yaml, place: {x: 0 m, y: 0 m}}
  - stall: The Lantern Cart
    figure: Wick
    place: {x: 3 m, y: 0 m}
    pieces: [{name: Small Lights, lasts: 4 min, level: 66 dBA}]
  - stall: The Paper Menagerie
    figure: Quill
    place: {x: 3 m, y: 4 m}
    pieces: [{name: The Fold, lasts: 3 min, level: 84 dBA}]
    days: [{date: 2027-02-13, opens: 11:00, closes: 15:00}]
"""
ORCHARD = """\
stall: The Tin Orchard
figure: Barnaby Rook
organiser: fair.yaml
pieces: [{name: Frost Bells, lasts: 4 min, level: 74 dBA}]
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

    def fair(self, text: str = FAIR, orchard: str = ORCHARD) -> Fair:
        """The fair of these settings, which must be right."""
        self.lay("orchard.yaml", orchard)
        return load_fair(self.lay("fair.yaml", text))

    def changed_fair(self, *changes: tuple[str, str]) -> str:
        """The small fair's file with each `old` text, which must be there once, as `new`."""
        text = FAIR
        for old, new in changes:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        return text

    def fair_complaints(self, text: str = FAIR, orchard: str = ORCHARD) -> SettingsError:
        """What is said about a fair that is wrong."""
        self.lay("orchard.yaml", orchard)
        path = self.lay("fair.yaml", text)
        with pytest.raises(SettingsError) as caught:
            load_fair(path)
        return caught.value

    def fair_told(self, text: str = FAIR, orchard: str = ORCHARD) -> list[str]:
        """What is said about it, in order; each place must have a mark."""
        error = self.fair_complaints(text, orchard)
        assert sorted(problem.where for problem in error.problems) == sorted(self.marks), str(error)
        return [problem.message for problem in error.problems]


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


@pytest.fixture
def small_stall() -> str:
    return STALL


@pytest.fixture
def small_fair() -> str:
    return FAIR


@pytest.fixture
def orchard() -> str:
    """A stall's own file, that the small fair names."""
    return ORCHARD


Changed = Callable[..., str]
