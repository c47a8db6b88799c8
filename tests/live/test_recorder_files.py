"""The journal's file may not be written to, or is gone: the day goes on, and is recorded later."""

from __future__ import annotations

import os
import shutil
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from showtime.live import Journal
from showtime.live import events as happened
from showtime.live.journal import CannotRecordError, recorded
from showtime.live.journal.recorder import Recorder

NOON = datetime(2027, 2, 13, 12, tzinfo=UTC)
NOBODY = 65534


def holds(count, begin=0):
    return [
        happened.Held(at=NOON + timedelta(seconds=number), why="a string snapped")
        for number in range(begin, begin + count)
    ]


def on_disk(path):
    journal = Journal(path)
    journal.close()
    assert not journal.notice
    return list(journal.history)


@pytest.fixture
def journal_file(tmp_path):
    return tmp_path / "day.journal"


@pytest.fixture
def open_folder():
    """A folder where a common user's rights count, whoever runs the tests."""
    folder = Path(tempfile.mkdtemp())
    was = os.geteuid()
    if was == 0:
        os.chown(folder, NOBODY, NOBODY)
        os.seteuid(NOBODY)
    yield folder
    os.seteuid(was)
    folder.chmod(0o700)
    shutil.rmtree(folder)


@pytest.mark.parametrize("ended", [True, False], ids=["ended", "killed"])
def test_a_journal_that_may_only_be_read_is_read_and_the_day_goes_on(open_folder, ended):
    path = open_folder / "day.journal"
    journal = Journal(path)
    journal.append(*holds(4))
    if ended:
        journal.close()
    else:
        for file in open_folder.iterdir():
            shutil.copy(file, open_folder / f"{file.name}.copy")
        journal.close()
        for copy in open_folder.glob("*.copy"):
            copy.replace(copy.with_suffix(""))
    for file in open_folder.iterdir():
        file.chmod(0o400)
    open_folder.chmod(0o500)
    with pytest.raises(CannotRecordError, match="writable"):
        Journal(path)
    recorder = Recorder.at(path)
    assert recorder.history == tuple(holds(4))
    recorder.append(*holds(1, 4))
    assert "writable" in recorder.trouble and recorder.trouble.endswith(": 1 event waits")
    open_folder.chmod(0o700)
    for file in open_folder.iterdir():
        file.chmod(0o600)
    recorder.append(*holds(1, 5))
    assert recorder.trouble == ""
    recorder.close()
    assert on_disk(path) == holds(6)


def test_a_file_alone_that_may_only_be_read_is_said_in_the_same_way(open_folder):
    path = open_folder / "day.journal"
    Journal(path).close()
    path.chmod(0o400)
    with pytest.raises(CannotRecordError, match="read-only; make the file and its folder writable"):
        Journal(path)


def test_a_folder_that_may_only_be_read_gets_no_journal_and_a_clear_line(open_folder):
    open_folder.chmod(0o500)
    recorder = Recorder.at(open_folder / "day.journal")
    recorder.append(*holds(1))
    assert "make the folder writable, or give another --journal" in recorder.trouble


@pytest.mark.parametrize("alone", [True, False], ids=["the file", "with its log"])
def test_a_file_that_was_deleted_in_mid_day_is_made_again_whole(journal_file, alone):
    recorder = Recorder.at(journal_file)
    recorder.append(*holds(3))
    journal_file.unlink()
    if not alone:
        journal_file.with_name("day.journal-wal").unlink()
        journal_file.with_name("day.journal-shm").unlink()
    recorder.append(*holds(2, 3))
    assert recorder.trouble == ""
    recorder.append(*holds(1, 5))
    recorder.close()
    assert on_disk(journal_file) == holds(6)


def test_a_folder_that_was_taken_away_is_waited_for(tmp_path):
    folder, away = tmp_path / "stick", tmp_path / "pocket"
    recorder = Recorder.at(folder / "day.journal")
    recorder.append(*holds(3))
    folder.rename(away)
    folder.write_text("a file where the folder was")
    recorder.append(*holds(2, 3))
    assert recorder.trouble.endswith(": 2 events wait")
    assert list(recorder) == holds(5)
    folder.unlink()
    away.rename(folder)
    recorder.append(*holds(1, 5))
    assert recorder.trouble == ""
    recorder.close()
    assert on_disk(folder / "day.journal") == holds(6)


def test_another_days_journal_in_its_place_is_not_written_into(journal_file, tmp_path):
    other = tmp_path / "other.journal"
    journal = Journal(other)
    journal.append(*holds(3, 100))
    journal.close()
    recorder = Recorder.at(journal_file)
    recorder.append(*holds(3))
    shutil.copy(other, tmp_path / "copy")
    (tmp_path / "copy").replace(journal_file)
    journal_file.with_name("day.journal-wal").unlink()
    recorder.append(*holds(1, 3))
    assert recorder.trouble
    assert list(recorder) == holds(4)
    recorder.close()
    assert recorded(other) == tuple(holds(3, 100))
