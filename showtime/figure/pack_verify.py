"""Is a pack whole and right? Everything that is wrong with it, in the keeper's words."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

from showtime.fair import Day
from showtime.figure.pack_folder import BEGUN, MANIFEST, manifest, there
from showtime.figure.pack_making import latest
from showtime.figure.pack_reading import Heard, Read, Tables, unreadable
from showtime.figure.pack_tables import (
    FORMAT,
    SETTING_LETTERS,
    call_table,
    clip_name,
    piece_table,
    plan_table,
    quiet_table,
)
from showtime.figure.pack_windows import Axis, Window, windows
from showtime.live import Desk
from showtime.wording import LANGUAGES, Bank

PLANNER_S = 20.0


def wrong_with(desk: Desk, folder: Path) -> list[str]:
    """What is wrong with the pack in that folder, by the settings of the desk; nothing when all is
    well. NoPlanError: its day has no plan any more."""
    return list(_not_whole(folder)) or list(_not_right(desk, folder))


def _not_whole(folder: Path) -> Iterator[str]:
    """What the manifest finds."""
    if not folder.is_dir():
        yield f"{folder}: there is no such folder"
        return
    if (folder / BEGUN).is_file():
        yield f"{BEGUN} is there: the pack was not written to its end; write it again"
        return
    try:
        listed = (folder / MANIFEST).read_bytes()
        files = {name: (folder / name).read_bytes() for name in there(folder)}
    except FileNotFoundError:
        yield f"there is no {MANIFEST}: this is no pack, or half of one; write it again"
        return
    except OSError as cause:
        yield f"the pack cannot be read ({cause.strerror}); try another card"
        return
    if listed == manifest(files):
        return
    yield from _differences(listed, manifest(files))


def _differences(listed: bytes, found: bytes) -> Iterator[str]:
    wanted, real = _entries(listed), _entries(found)
    for name in sorted(wanted.keys() - real.keys()):
        yield f"{name}: is missing"
    for name in sorted(real.keys() - wanted.keys()):
        yield f"{name}: is not of this pack; {MANIFEST} does not have it"
    for name in sorted(wanted.keys() & real.keys() - {"END"}):
        if wanted[name] != real[name]:
            yield f"{name}: is not as it was written: length or CRC differ"
    if {n: e for n, e in wanted.items() if n != "END"} == {
        n: e for n, e in real.items() if n != "END"
    }:
        yield f"{MANIFEST}: its last line is not right; it was cut or changed"


def _entries(listed: bytes) -> dict[str, str]:
    lines = listed.decode("utf-8", "replace").splitlines()[1:]
    return {name: rest for name, _, rest in (line.partition(",") for line in lines)}


def _not_right(desk: Desk, folder: Path) -> Iterator[str]:
    """What the tables say, against each other, the clips and the settings."""
    tables = Tables(folder)
    day = _day(desk, tables)
    if isinstance(day, str):
        yield day
        return
    languages = tables.about.get("languages", "").split()
    unknown = [language for language in languages if language not in LANGUAGES]
    if unknown or not languages:
        yield f"PACK.CSV: no such language: {' '.join(unknown) or 'none at all'}"
        return
    banks = {language: desk.bank(language) for language in languages}
    yield from _not_the_settings(desk, day, tables)
    yield from _counts_wrong(tables)
    yield from _clips_wrong(tables)
    heard = Heard(tables, banks, Axis(day))
    yield from heard.wrong()
    yield from _unused(tables, heard)
    if not heard.answers:
        return
    yield from _gaps(_expected(desk, day, list(banks.values())), heard.answers, Axis(day))
    for letter in SETTING_LETTERS.values():
        yield from (
            f"WORDS/{letter}{minute // 60:02}.CSV: says nothing for minute {minute % 60}"
            for minute in range(1440)
            if (letter, minute) not in heard.minutes
        )


def _day(desk: Desk, tables: Tables) -> Day | str:
    """The pack's day, or why there is none."""
    if tables.about.get("format") != str(FORMAT):
        return "PACK.CSV: is of another version of this program; write the pack again"
    try:
        day = desk.stall.day(date.fromisoformat(tables.about.get("day", "")))
    except ValueError:
        day = None
    if day is None:
        return f"PACK.CSV: the day {tables.about.get('day')} is no fair day of these settings"
    return day


def _expected(desk: Desk, day: Day, banks: list[Bank]) -> tuple[Window, ...]:
    return windows(desk.plan(day, PLANNER_S), desk.tomorrow(day, PLANNER_S), banks)


def _not_the_settings(desk: Desk, day: Day, tables: Tables) -> Iterator[str]:
    """Where the plan or what limits speaking is not that of the settings."""
    plan, axis = desk.plan(day, PLANNER_S), Axis(day)
    wanted = {
        "PLAN.CSV": plan_table(plan, latest(plan, desk.stall.keep_within)),
        "PIECES.CSV": piece_table(plan),
        "QUIET.CSV": quiet_table(plan),
        "CALLS.CSV": call_table(plan),
    }
    for name, body in wanted.items():
        lines = zip(body.splitlines(), [*tables.bytes(name).splitlines(), b""], strict=False)
        if tables.bytes(name) != body:
            place, line = next(
                ((n, want) for n, (want, have) in enumerate(lines, 1) if want != have), (0, b"")
            )
            yield (
                f"{name}:{place}: is not what the settings say "
                f"({line.decode() or 'nothing more'}); write the pack again"
            )
    tomorrow = desk.tomorrow(day, PLANNER_S)
    moments = {
        "opens": axis.seconds(day.hours.start),
        "closes": axis.seconds(day.hours.end),
        "tomorrow": -1 if tomorrow is None else axis.seconds(tomorrow),
    }
    for name, moment in moments.items():
        if tables.about.get(name) != str(moment):
            yield f"PACK.CSV: {name} is not {moment}, as the settings say; write the pack again"


def _counts_wrong(tables: Tables) -> Iterator[str]:
    """Tables that have more or fewer lines than PACK.CSV tells."""
    names = {"performances": "PLAN.CSV", "answers": "ANSWERS.CSV", "clips": "CLIPS.CSV"}
    for count, name in names.items():
        lines = len(tables.rows(name))
        if tables.about.get(count) != str(lines):
            yield f"{name}: has {lines} lines, not {tables.about.get(count)} as PACK.CSV says"
    if len(tables.clips) != len(tables.rows("CLIPS.CSV")):
        yield "CLIPS.CSV: has lines that are no clips, or a clip twice"


def _clips_wrong(tables: Tables) -> Iterator[str]:
    """Clips that are listed and cannot be played, or are there and not listed."""
    names = {clip_name(number) for number in tables.clips}
    for name in sorted(set(tables.sounds()) - names):
        yield f"{name}: CLIPS.CSV does not list this clip"
    for number, clip in tables.clips.items():
        why = unreadable(tables.folder / clip_name(number), clip, tables.about.get("rate", ""))
        if why:
            yield f"{clip_name(number)}: {why}"


def _unused(tables: Tables, heard: Heard) -> Iterator[str]:
    for number in sorted(tables.clips.keys() - heard.used):
        yield f"{clip_name(number)}: no answer uses this clip ({tables.clips[number].text!r})"


def _gaps(expected: tuple[Window, ...], answers: list[Read], axis: Axis) -> Iterator[str]:
    """Moments at which the controller would have nothing to say."""
    for window in expected:
        at = -1 if window.situation.at is None else axis.seconds(window.situation.at)
        moment = window.begins
        for read in sorted(answers, key=lambda each: each.begins):
            same = (read.kind, read.start, read.at) == (window.kind.value, window.start, at)
            if same and read.begins <= moment < read.ends and read.count:
                moment = read.ends
        if moment < window.ends:
            yield (
                f"ANSWERS.CSV: has nothing to say for '{window.kind}' of start {window.start} "
                f"from {moment} until {window.ends} seconds"
            )
