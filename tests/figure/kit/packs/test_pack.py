"""A pack is whole and right, or it is told what is wrong with it."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from showtime.fair import Plan, ShowtimeError, Span
from showtime.figure import Wanted, make_pack, wrong_with
from showtime.figure.pack_folder import BEGUN, MANIFEST, manifest, there, write
from showtime.figure.pack_windows import windows
from showtime.live import answer
from showtime.live.moment import as_planned

SATURDAY = "2027-02-13"


@pytest.fixture
def copy(pack: Path, tmp_path: Path) -> Path:
    """A copy of the pack, to be spoilt."""
    return Path(shutil.copytree(pack, tmp_path / "copy"))


def written_anew(folder: Path) -> None:
    """The manifest of whatever is there now, so that only what the tables mean is judged."""
    files = {name: (folder / name).read_bytes() for name in there(folder)}
    (folder / MANIFEST).write_bytes(manifest(files))


def change(file: Path, old: str, new: str) -> None:
    text = file.read_bytes().decode()
    assert old in text
    file.write_bytes(text.replace(old, new, 1).encode())


def test_a_fresh_pack_is_complete_and_right(desk, pack):
    assert wrong_with(desk, pack) == []


def test_the_same_day_and_seed_give_the_same_pack_to_the_byte(pack, pack_again, tmp_path):
    told = pack_again(tmp_path / "again")
    size = sum(file.stat().st_size for file in (tmp_path / "again").rglob("*") if file.is_file())
    assert f"{size / 1e6:.1f} MB of 16 MB" in told
    names = list(there(pack))
    assert list(there(tmp_path / "again")) == names
    for name in (*names, MANIFEST):
        assert (pack / name).read_bytes() == (tmp_path / "again" / name).read_bytes(), name


def cut_clip(folder: Path) -> None:
    file = folder / "CLIPS/00/0007.WAV"
    file.write_bytes(file.read_bytes()[:-100])


WHILE_IT_LIES_ON_THE_CARD: dict[str, tuple[Callable[[Path], object], str]] = {
    "a clip is lost": (
        lambda f: (f / "CLIPS/00/0007.WAV").unlink(),
        "CLIPS/00/0007.WAV: is missing",
    ),
    "a clip is cut off": (cut_clip, "CLIPS/00/0007.WAV: is not as it was written"),
    "a table is changed": (
        lambda f: change(f / "PLAN.CSV", "1,37200", "1,37260"),
        "PLAN.CSV: is not as it was written",
    ),
    "the manifest is lost": (lambda f: (f / MANIFEST).unlink(), "there is no MANIFEST.CSV"),
    "the manifest is cut off": (
        lambda f: (f / MANIFEST).write_bytes((f / MANIFEST).read_bytes()[:-12]),
        "MANIFEST.CSV: its last line is not right",
    ),
    "the manifest loses lines": (
        lambda f: (f / MANIFEST).write_bytes((f / MANIFEST).read_bytes()[:400]),
        "is not of this pack",
    ),
    "another clip is put in": (
        lambda f: shutil.copy(f / "CLIPS/00/0007.WAV", f / "CLIPS/00/9999.WAV"),
        "CLIPS/00/9999.WAV: is not of this pack",
    ),
    "the folder is emptied": (shutil.rmtree, "there is no such folder"),
}


@pytest.mark.parametrize("damage", WHILE_IT_LIES_ON_THE_CARD)
def test_what_befell_the_files_is_named(desk, copy, damage):
    befall, wanted = WHILE_IT_LIES_ON_THE_CARD[damage]
    befall(copy)
    wrong = wrong_with(desk, copy)
    assert any(wanted in each for each in wrong), wrong


def silence(folder: Path) -> None:
    file = folder / "CLIPS/00/0007.WAV"
    file.write_bytes(file.read_bytes()[:44] + bytes(file.stat().st_size - 44))


def swap_lists(folder: Path) -> None:
    """Two starts get each other's sentences."""
    rows = (folder / "ANSWERS.CSV").read_text().splitlines()
    of_next = [row.split(",")[0] for row in rows if ",next," in row]
    one, other = (folder / f"WORDS/L{int(n):04}.CSV" for n in (of_next[0], of_next[-1]))
    kept = one.read_bytes()
    one.write_bytes(other.read_bytes())
    other.write_bytes(kept)


def drop_answers(folder: Path, kind: str) -> None:
    lines = (folder / "ANSWERS.CSV").read_text().splitlines()
    kept = [line for line in lines if f",{kind},5," not in line]
    (folder / "ANSWERS.CSV").write_text("".join(f"{line}\r\n" for line in kept), newline="")


def another_word(folder: Path) -> None:
    """A clip is exchanged for one that says something else, and is listed with its own words."""
    lines = (folder / "WORDS/H14.CSV").read_text().splitlines()
    lines[1] = lines[1].replace("0,", "1,", 1)
    (folder / "WORDS/H14.CSV").write_text("".join(f"{line}\r\n" for line in lines), newline="")


AS_IT_WAS_MADE: dict[str, tuple[Callable[[Path], object], str]] = {
    "a clip is silent": (silence, "CLIPS/00/0007.WAV: has no sound in it"),
    "a clip is too long": (
        lambda f: change(f / "CLIPS.CSV", "\r\n7,", "\r\n7,9"),
        "CLIPS/00/0007.WAV: does not last",
    ),
    "a clip is at another rate": (
        lambda f: change(f / "PACK.CSV", "rate,22050", "rate,44100"),
        "is not 16-bit mono at 44100",
    ),
    "a clip is no sound": (
        lambda f: (f / "CLIPS/00/0007.WAV").write_bytes(b"RIFF of a kind"),
        "CLIPS/00/0007.WAV: is no sound",
    ),
    "nobody uses a clip": (
        lambda f: shutil.copy(f / "CLIPS/00/0007.WAV", f / "CLIPS/00/0099.WAV"),
        "CLIPS.CSV",
    ),
    "an answer tells another start": (swap_lists, "does not tell"),
    "a list has no such clip": (
        lambda f: change(f / "WORDS/L0001.CSV", "clips\r\n", "clips\r\n9999\r\n"),
        "there is no clip 9999",
    ),
    "a start has no answer": (lambda f: drop_answers(f, "next"), "nothing to say for 'next'"),
    "a start has no call": (lambda f: drop_answers(f, "call"), "nothing to say for 'call'"),
    "a minute is said wrongly": (another_word, "WORDS/H14.CSV:2: does not tell 14:01"),
    "the plan is another": (
        lambda f: change(f / "PLAN.CSV", "1,37200,37200", "1,37500,37500"),
        "PLAN.CSV:2: is not what the settings say (1,37200,37200,270,1)",
    ),
    "the quiet times are others": (
        lambda f: change(f / "QUIET.CSV", "41400", "41460"),
        "QUIET.CSV:",
    ),
    "the day is no fair day": (
        lambda f: change(f / "PACK.CSV", SATURDAY, "2027-03-13"),
        "the day 2027-03-13 is no fair day",
    ),
    "it is of another version": (
        lambda f: change(f / "PACK.CSV", "format,1", "format,9"),
        "of another version",
    ),
    "tomorrow begins at another time": (
        lambda f: change(f / "PACK.CSV", "tomorrow,", "tomorrow,1"),
        "PACK.CSV: tomorrow is not",
    ),
}


@pytest.mark.parametrize("mistake", AS_IT_WAS_MADE)
def test_what_is_wrong_in_a_pack_is_named(desk, copy, mistake):
    make, wanted = AS_IT_WAS_MADE[mistake]
    make(copy)
    written_anew(copy)
    wrong = wrong_with(desk, copy)
    assert any(wanted in each for each in wrong), wrong[:5]


def test_a_half_written_pack_is_never_taken_for_a_whole_one(desk, pack, tmp_path, full):
    files = {name: (pack / name).read_bytes() for name in there(pack)}
    folder = tmp_path / "card"
    for takes in range(0, len(files), 9 if full else 60):
        with pytest.raises(KeyboardInterrupt):
            write(folder, Interrupted(files, takes))
        wrong = wrong_with(desk, folder)
        assert wrong and BEGUN in wrong[0], wrong
    write(folder, files)
    assert wrong_with(desk, folder) == []


class Interrupted(dict[str, bytes]):
    """A pack's files; the keeper loses patience when so many are written."""

    def __init__(self, files: Mapping[str, bytes], takes: int) -> None:
        super().__init__(files)
        self._takes = takes
        self._rounds = 0

    def items(self):  # type: ignore[no-untyped-def,override]
        self._rounds += 1
        for number, item in enumerate(super().items()):
            if self._rounds > 1 and number == self._takes:
                raise KeyboardInterrupt
            yield item


def test_other_peoples_files_are_left_alone(desk, pack, tmp_path):
    files = {name: (pack / name).read_bytes() for name in there(pack)}
    card = tmp_path / "card"
    card.mkdir()
    (card / "holiday.txt").write_text("mine")
    write(card, files)
    assert (card / "holiday.txt").read_text() == "mine"
    assert wrong_with(desk, card) == []
    foreign = tmp_path / "foreign"
    foreign.mkdir()
    (foreign / "README.TXT").write_text("mine too")
    with pytest.raises(ShowtimeError, match="is of no pack"):
        write(foreign, files)
    assert (foreign / "README.TXT").read_text() == "mine too"


def test_a_pack_that_is_too_large_is_refused_with_what_to_do(desk, tmp_path):
    with pytest.raises(ShowtimeError, match=r"MB at least.*--limit \d+.*--answers"):
        make_pack(desk, tmp_path / "p", Wanted(limit=1_000_000, answers=5), day=SATURDAY)
    assert not (tmp_path / "p").exists()


def test_what_a_controller_looks_up_is_what_the_computer_would_answer(desk, pack):
    """At every half minute of the day, the day before it opens and the evening after."""
    day = desk.day(SATURDAY)
    plan = desk.plan(day, 60.0)
    midnight = datetime.combine(day.date, datetime.min.time(), day.signboard.timezone)
    tomorrow = desk.tomorrow(day, 60.0)
    rows = [line.split(",") for line in (pack / "ANSWERS.CSV").read_text().splitlines()[1:]]
    for second in range(0, 30 * 3600, 30):
        now = midnight + timedelta(seconds=second)
        state = as_planned(plan, now, keep_within=timedelta(seconds=60), tomorrow=tomorrow)
        wanted = answer(state, now)
        at = -1
        if wanted.at is not None:
            local = wanted.at.astimezone(day.signboard.timezone)
            at = round((local - midnight).total_seconds())
        found = [
            row
            for row in rows
            if row[1] == wanted.kind and int(row[3]) == at and int(row[4]) <= second < int(row[5])
        ]
        assert found, (second, wanted.kind, at)


def test_a_day_in_whose_hours_the_clocks_change_is_refused(desk):
    """In Great Britain they are put forward at one in the morning of 28 March 2027."""
    sunday = datetime(2027, 3, 28, tzinfo=desk.stall.signboard.timezone)
    hours = Span(sunday, sunday + timedelta(hours=9))
    day = replace(desk.stall.days[0], date=sunday.date(), hours=hours)
    with pytest.raises(ShowtimeError, match="the clocks are changed"):
        windows(Plan(day, ()), None, [desk.bank("en")])
