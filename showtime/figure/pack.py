"""`showtime pack`: a day put into a folder for the figure's controller, and what came of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from showtime.figure.pack_choice import LEAST_OF_NEXT
from showtime.figure.pack_folder import write
from showtime.figure.pack_kit import kit_files
from showtime.figure.pack_making import Contents, Making, Wanted
from showtime.figure.pack_readme import readme
from showtime.figure.pack_tables import (
    FORMAT,
    answer_table,
    call_table,
    clip_name,
    clip_table,
    list_tables,
    piece_table,
    plan_table,
    quiet_table,
    setting_tables,
    table,
)
from showtime.figure.pack_windows import Axis, PackError
from showtime.live import Desk
from showtime.wording import Kind

PLANNER_S = 20.0


@dataclass(frozen=True)
class Packed:
    """A pack that was written: how much there is of what. `fewest` is the smallest number of
    sentences that `next` of a start has; `embedded` of the clips are not in the maker's own voice.
    """

    folder: Path
    day: str
    languages: tuple[str, ...]
    performances: int
    answers: int
    sentences: int
    fewest: int
    clips: int
    embedded: int
    seconds_of_sound: float
    files: int
    bytes: int
    limit: int
    own_voice: bool


def make_pack(
    desk: Desk, folder: Path, wanted: Wanted, *, day: str = "", language: str = ""
) -> Packed:
    """Writes the pack of a day. PackError: it cannot be made, is over the limit, or cannot be
    written; NoPlanError: the day has no plan."""
    contents = contents_of(desk, wanted, day=day, language=language)
    files = files_of(contents, wanted)
    size = sum(map(len, files.values()))
    if size > wanted.limit:
        raise PackError(
            f"the pack takes {size / 1e6:.1f} MB, and {wanted.limit / 1e6:g} MB is the limit; "
            "allow more with --limit, or take fewer sentences with --answers"
        )
    written = write(folder, files)
    return _packed(desk, folder, contents, wanted, len(files) + 1, written)


def contents_of(desk: Desk, wanted: Wanted, *, day: str = "", language: str = "") -> Contents:
    """What goes into the pack of a day, in one language or in those the stall answers in."""
    chosen = desk.day(day)
    languages = (language,) if language else desk.stall.signboard.spoken
    return Making(
        desk.plan(chosen, PLANNER_S),
        desk.tomorrow(chosen, PLANNER_S),
        [desk.bank(each) for each in languages],
        desk.stall.speaking,
        wanted,
        desk.stall.keep_within,
    ).contents()


def files_of(contents: Contents, wanted: Wanted) -> dict[str, bytes]:
    """Every file of the pack but its manifest."""
    axis = Axis(contents.plan.day)
    numbers, sounds = contents.numbers, contents.sounds
    files = {
        "README.TXT": readme(contents, wanted.rate),
        "PACK.CSV": _about(contents, wanted),
        "PLAN.CSV": plan_table(contents.plan, contents.latest),
        "PIECES.CSV": piece_table(contents.plan),
        "QUIET.CSV": quiet_table(contents.plan),
        "CALLS.CSV": call_table(contents.plan),
        "ANSWERS.CSV": answer_table(contents.answers, axis),
        "CLIPS.CSV": clip_table(numbers, sounds, wanted.rate),
    }
    files |= dict(list_tables(contents.answers, numbers))
    files |= dict(setting_tables(contents.setting, numbers))
    files |= {clip_name(number): sounds[piece] for piece, number in numbers.items()}
    return files | {name: text.encode() for name, text in kit_files().items()}


def _about(contents: Contents, wanted: Wanted) -> bytes:
    plan = contents.plan
    axis = Axis(plan.day)
    tomorrow = -1 if contents.tomorrow is None else axis.seconds(contents.tomorrow)
    return table(
        ("name", "value"),
        (
            ("format", FORMAT),
            ("day", plan.day.date.isoformat()),
            ("rate", wanted.rate),
            ("opens", axis.seconds(plan.day.hours.start)),
            ("closes", axis.seconds(plan.day.hours.end)),
            ("tomorrow", tomorrow),
            ("performances", len(plan.performances)),
            ("answers", len(contents.answers)),
            ("sentences", sum(len(each.rows) for each in contents.answers)),
            ("clips", len(contents.numbers)),
            ("seed", wanted.seed),
            ("languages", " ".join(contents.languages)),
            ("stall", plan.day.signboard.stall),
        ),
    )


def _packed(
    desk: Desk, folder: Path, contents: Contents, wanted: Wanted, files: int, size: int
) -> Packed:
    return Packed(
        folder,
        contents.plan.day.date.isoformat(),
        contents.languages,
        len(contents.plan.performances),
        len(contents.answers),
        sum(len(each.rows) for each in contents.answers),
        _fewest_of_next(contents),
        len(contents.numbers),
        sum(not piece.recorded for piece in contents.numbers),
        sum(len(sound) - 44 for sound in contents.sounds.values()) / 2 / wanted.rate,
        files,
        size,
        wanted.limit,
        desk.stall.speaking.recorded is not None,
    )


def _fewest_of_next(contents: Contents) -> int:
    counts: Sequence[int] = [
        len(each.rows) for each in contents.answers if each.window.kind is Kind.NEXT
    ]
    return min(counts, default=LEAST_OF_NEXT)
