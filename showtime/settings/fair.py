"""A fair's file, with the files of its stalls and all their calendars, to a Fair."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from showtime.fair import Stall
from showtime.fair.hall import Fair, HallNoise, Place, Stand, Together
from showtime.settings.fairfile import HallNoiseGroup, StallByFile, StallInPlace
from showtime.settings.files import read_fair, read_stall, same_file
from showtime.settings.hallnoise import with_own_noise
from showtime.settings.neighbourhood import Entry, check_neighbourhood
from showtime.settings.organiser import Organiser
from showtime.settings.problem import Problems
from showtime.settings.quantity import DAY
from showtime.settings.stall import StallReader
from showtime.settings.stallfile import StallFile

_NEEDED = {
    "timezone": "timezone: Europe/London",
    "days": "days: [{date: 2027-02-13, opens: 10:00, closes: 17:00}]",
    "stalls": f"stalls: [{StallByFile.example}]",
}


def load_fair(path: Path) -> Fair:
    """The fair whose file is at `path`, with all of its stalls.

    Raises SettingsError with every problem of its file, its stalls' files and their calendars.
    """
    problems = Problems()
    organiser = read_fair(path, problems)
    fair = _fair(_complete(organiser, problems), problems) if organiser else None
    if fair is None:
        raise problems.error()
    return fair


def _complete(organiser: Organiser, problems: Problems) -> Organiser:
    """As given; what a fair needs and this one lacks is missed here, and not at every stall."""
    written = organiser.written
    lacking = {key for key in _NEEDED if not getattr(written, key) and key not in written.wrong}
    for key in (key for key in _NEEDED if key in lacking):
        problems.add(written.where_of(key), f"'{key}' is missing; add {_NEEDED[key]}")
    if not lacking:
        return organiser
    return Organiser(replace(written, wrong=written.wrong | lacking), organiser.path, problems)


def _fair(organiser: Organiser, problems: Problems) -> Fair | None:
    """None when there are problems."""
    written = organiser.written
    entries = list(_entries(organiser, problems))
    heard = {cap.at for cap in written.caps if cap.at}
    hearers = {entry.name: entry.place for entry in entries if entry.name in heard}
    stalls = [_stall(entry, hearers, organiser, problems) for entry in entries]
    check_neighbourhood(entries, written, problems)
    if problems:
        return None
    zone = written.timezone or ZoneInfo("UTC")
    hours = tuple((day.date, day.hours) for day in organiser.days(zone).days)
    longest = max((span.length for _, span in hours), default=DAY)
    noise = tuple(_noise(group, longest) for group in written.noise)
    stands = tuple(
        Stand(stall, entry.place, entry.file)
        for entry, stall in zip(entries, stalls, strict=True)
        if stall is not None and entry.place is not None
    )
    together = tuple(
        Together(group.stalls, group.within, group.why, group.where) for group in written.together
    )
    return Fair(written.fair, zone, hours, with_own_noise(stands, noise), together, noise)


def _stall(
    entry: Entry, hearers: Mapping[str, Place | None], organiser: Organiser, problems: Problems
) -> Stall | None:
    """None when it cannot be read. `hearers`: who is named in caps for all, and where they are."""
    if entry.written is None:
        return None
    own = entry.place
    away_m = {
        name: own.distance_m(place)
        for name, place in hearers.items()
        if own and place and own != place
    }
    return StallReader(entry.path, entry.written, organiser, problems, away_m).stall()


def _noise(group: HallNoiseGroup, longest: timedelta) -> HallNoise:
    over = longest if group.in_any == "day" else group.in_any
    return HallNoise(
        group.level, over, group.in_any == "day", group.stalls or (), group.why, group.where
    )


@dataclass
class _Files:
    """The files of stalls that were named so far, by where they truly are."""

    fair: Path
    lines: dict[Path, int]

    def refused(self, file: Path, line: int) -> str:
        """Why a stall cannot stand in this file; empty when it can."""
        if same_file(file, self.fair):
            return "this is the fair's own file; name a stall's, or write its settings here"
        try:
            true = file.resolve()
        except (OSError, RuntimeError, ValueError):
            return ""
        if true in self.lines:
            return f"this file is here twice, first on line {self.lines[true]}; keep one"
        self.lines[true] = line
        return ""


def _entries(organiser: Organiser, problems: Problems) -> Iterator[Entry]:
    """The stalls with their settings, as far as these can be read."""
    files = _Files(organiser.path, {})
    for group in organiser.written.stalls:
        if isinstance(group, StallInPlace):
            yield Entry(group, organiser.path, group, _place(group))
            _check_organiser(group, organiser.path, organiser.path, problems)
            continue
        named_at = group.where_of("file")
        file = organiser.path.parent / group.file
        refused = files.refused(file, named_at.line) if group.file else ""
        if refused:
            problems.add(named_at, refused)
        written = None
        if group.file and not refused:
            written = read_stall(file, named_at, problems)
        if written is not None:
            _check_organiser(written, file, organiser.path, problems)
        yield Entry(written, file, group, _place(group), group.file)


def _place(group: StallByFile | StallInPlace) -> Place | None:
    return Place(group.place.x, group.place.y) if group.place else None


def _check_organiser(stall: StallFile, path: Path, fair: Path, problems: Problems) -> None:
    """A stall is of one fair: the one that it names, if any, is the one that lists it."""
    if stall.organiser is not None and not same_file(path.parent / stall.organiser, fair):
        problems.add(
            stall.where_of("organiser"),
            f"this names another fair's file than {fair}, in which the stall is listed;"
            " name that one, or leave it out",
        )
