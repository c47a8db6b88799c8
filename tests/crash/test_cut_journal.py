"""A journal cut off at any byte, or overwritten: what was acknowledged and is still there is read.

The oracle needs no knowledge of the file's layout: an event whose text still stands anywhere in
the damaged files, clear of the damage, has to be among those that the journal gives back.
"""

from __future__ import annotations

import random
import shutil
import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from showtime.live import Journal, JournalError
from showtime.live import events as happened
from showtime.live.journal.codec import encode
from showtime.wording import Kind

NOON = datetime(2027, 2, 13, 12, tzinfo=UTC)
LAST = 4096
NEAR = 40
"""Bytes beside a text that belong to its row: its number, lengths and seal."""


def answers(count, begin=0):
    return [
        happened.Answered(
            at=NOON + timedelta(seconds=number),
            trigger="clicker",
            kind=Kind.NEXT,
            text=f"Number {number} is told, à la minute.",
            language="en",
            template=number % 7,
            told=NOON + timedelta(hours=1),
            spoken="aloud",
        )
        for number in range(begin, begin + count)
    ]


class Killed:
    """The files that a killed or ended program left, and what it had acknowledged."""

    def __init__(self, folder: Path, events: list, *, ended: bool = False, settled: int = 0):
        path = folder / "made" / "day.journal"
        journal = Journal(path)
        for event in events[:settled]:
            journal.append(event)
        if settled:
            with sqlite3.connect(path) as db:
                db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            db.close()
        for event in events[settled:]:
            journal.append(event)
        if ended:
            journal.close()
        self.events = events
        self.files = {
            file.name: file.read_bytes() for file in path.parent.iterdir() if file.stem != "shm"
        }
        if not ended:
            journal.close()
        self.files.pop("day.journal-shm", None)

    def damaged(self, folder: Path, name: str, data: bytes) -> Path:
        """A copy in which one file has other bytes."""
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir()
        for file, intact in self.files.items():
            (folder / file).write_bytes(data if file == name else intact)
        return folder / "day.journal"

    def unharmed(self, name: str, data: bytes, begin: int, end: int) -> set[int]:
        """The events (by place) whose text stands clear of the damage from `begin` to `end`."""
        clear = [bytes_ for file, bytes_ in self.files.items() if file != name]
        clear += [data[: max(0, begin - NEAR)], data[end + NEAR :]]
        texts = [encode(event)[1].encode() for event in self.events]
        return {place for place, text in enumerate(texts) if any(text in part for part in clear)}


def check(killed, folder, name, data, begin, end):
    path = killed.damaged(folder, name, data)
    journal = Journal(path)
    places = {event: place for place, event in enumerate(killed.events)}
    read = [places[event] for event in journal.history]
    assert read == sorted(set(read))
    missing = set(range(len(killed.events))) - set(read)
    assert not missing & killed.unharmed(name, data, begin, end)
    kept = sorted(file for file in folder.iterdir() if ".damaged-" in file.name)
    if missing:
        assert f"{len(missing)} lost" in journal.notice
    if journal.notice:
        assert str(path) in journal.notice
        assert data in [file.read_bytes() for file in kept]
    else:
        assert not kept
    if begin % 64 == 0:
        one_more = answers(1, begin=10_000)[0]
        journal.append(one_more)
        journal.close()
        journal = Journal(path)
        assert list(journal.history) == [killed.events[place] for place in read] + [one_more]
        assert not journal.notice
    journal.close()


def offsets(size, full, part, parts):
    """Where to cut: each byte of the last 4 KiB, or every 16th and all about a page's edge."""
    last = range(max(0, size - LAST), size)
    edges = {0, 1, 2, 31, 32, 33, 99, 100, 101, size - 1}
    frames = (24, 32, 4096, 4096 + 24, 4096 + 32)
    edges |= {at + near for edge in frames for at in range(edge, size, 4096) for near in (-1, 0, 1)}
    chosen = [at for at in last if full or at % 16 == 0 or at in edges]
    return chosen[part::parts]


@pytest.fixture(scope="module")
def journals(tmp_path_factory):
    folder = tmp_path_factory.mktemp("killed")
    events = answers(60)
    return {
        "young": Killed(folder / "young", events),
        "settled": Killed(folder / "settled", events, settled=40),
        "ended": Killed(folder / "ended", events, ended=True),
    }


CUT = [
    ("young", "day.journal"),
    ("young", "day.journal-wal"),
    ("settled", "day.journal"),
    ("settled", "day.journal-wal"),
    ("ended", "day.journal"),
]


@pytest.mark.parametrize("part", range(2))
@pytest.mark.parametrize(("which", "name"), CUT)
def test_cut_at_any_byte_of_its_last_4_kib(journals, tmp_path, full, which, name, part):
    killed = journals[which]
    intact = killed.files[name]
    for cut in offsets(len(intact), full, part, 2):
        check(killed, tmp_path / "cut", name, intact[:cut], cut, len(intact))


@pytest.mark.parametrize(("which", "name"), CUT)
def test_overwritten_with_garbage_anywhere(journals, tmp_path, full, which, name):
    killed, luck = journals[which], random.Random(f"{which} {name}")
    intact = killed.files[name]
    for _ in range(400 if full else 40):
        begin = luck.randrange(len(intact))
        end = min(len(intact), begin + luck.choice([1, 4, 100, 4096]))
        data = intact[:begin] + luck.randbytes(end - begin) + intact[end:]
        check(killed, tmp_path / "garbage", name, data, begin, end)


@pytest.mark.parametrize(("which", "name"), CUT)
def test_each_byte_of_the_head_made_wrong(journals, tmp_path, which, name, full):
    killed = journals[which]
    intact = killed.files[name]
    for at in range(0, 124, 1 if full else 3):
        data = intact[:at] + bytes([intact[at] ^ 0x5A]) + intact[at + 1 :]
        check(killed, tmp_path / "head", name, data, at, at + 1)


@pytest.mark.parametrize("which", ["young", "settled", "ended"])
def test_an_intact_journal_gives_everything_and_no_notice(journals, tmp_path, which):
    killed = journals[which]
    path = killed.damaged(tmp_path / "intact", "", b"")
    journal = Journal(path)
    assert list(journal.history) == killed.events
    assert not journal.notice
    journal.close()


def test_damaged_twice_both_files_are_kept(journals, tmp_path):
    killed = journals["ended"]
    intact = killed.files["day.journal"]
    path = killed.damaged(tmp_path / "twice", "day.journal", intact[:-4096])
    Journal(path).close()
    path.write_bytes(path.read_bytes()[:-4096])
    journal = Journal(path)
    assert "day.journal.damaged-2" in journal.notice
    journal.close()
    assert path.with_name("day.journal.damaged-1").read_bytes() == intact[:-4096]


def test_a_file_of_which_nothing_is_left_is_no_longer_trusted_as_new(journals, tmp_path):
    killed = journals["ended"]
    path = killed.damaged(tmp_path / "empty", "day.journal", b"")
    journal = Journal(path)
    assert journal.history == ()
    assert "60 lost" in journal.notice
    journal.close()


def test_what_never_was_a_journal_is_refused(tmp_path):
    path = tmp_path / "day.journal"
    path.write_bytes(random.Random(1).randbytes(20_000))
    before = path.read_bytes()
    with pytest.raises(JournalError, match="not a journal"):
        Journal(path)
    assert path.read_bytes() == before
