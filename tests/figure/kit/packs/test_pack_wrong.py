"""Whatever is wrong with a pack is named, so that nobody finds out at the fair."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from showtime.figure import wrong_with
from showtime.figure.pack_folder import MANIFEST, manifest, there

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


def spoilt(body: bytes, luck: Random) -> bytes:
    """A table in which something was written over, lost, or put in."""
    place = luck.randrange(len(body))
    return luck.choice(
        (
            body[:place] + bytes([luck.randrange(256)]) + body[place + 1 :],
            body[:place] + body[place + luck.randint(1, 20) :],
            body[:place] + bytes(luck.choices(b'0123456789,-"\r\n \x00\xff', k=9)) + body[place:],
            body[:place] + b"9" * luck.randint(1, 25) + body[place:],
            body[:place],
        )
    )


def test_no_spoilt_table_is_too_much_for_the_check(desk, copy, full):
    """With a manifest that fits, so that the tables are read; the old one tells it anyway."""
    luck = Random(6)
    tables = [name for name in there(copy) if name.endswith(".CSV")]
    likely = [1 if "/" in name else 30 for name in tables]
    old = (copy / MANIFEST).read_bytes()
    told = 0
    rounds = 300 if full else 5
    for _ in range(rounds):
        (name,) = luck.choices(tables, likely)
        body = (copy / name).read_bytes()
        (copy / name).write_bytes(spoilt(body, luck))
        if (copy / name).read_bytes() != body:
            assert wrong_with(desk, copy)
        written_anew(copy)
        told += bool(wrong_with(desk, copy))
        (copy / name).write_bytes(body)
        (copy / MANIFEST).write_bytes(old)
    assert told > rounds // 2
    assert wrong_with(desk, copy) == []
