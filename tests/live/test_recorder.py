"""Whatever happens to the disk, the day goes on, and says that it is not recording."""

from __future__ import annotations

import contextlib
import os
import resource
import shutil
import subprocess
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from showtime.live import Journal, JournalError
from showtime.live import events as happened
from showtime.live.journal import CannotRecordError, recorded
from showtime.live.recorder import Recorder

NOON = datetime(2027, 2, 13, 12, tzinfo=UTC)
NOBODY = 65534


def holds(count, begin=0, long=0):
    return [
        happened.Held(at=NOON + timedelta(seconds=number), why=f"a string snapped{'.' * long}")
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
def small_disk(tmp_path):
    """A file system of half a megabyte: full is really full (ENOSPC)."""
    if os.geteuid() != 0 or not shutil.which("mount"):
        pytest.skip("only the administrator may mount a small disk; the limited file stands for it")
    folder = tmp_path / "disk"
    folder.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=512k", "none", str(folder)],
        check=False,
        capture_output=True,
    )
    if mounted.returncode:
        pytest.skip(f"no file system may be mounted here: {mounted.stderr.decode().strip()}")
    yield folder
    subprocess.run(["umount", "--lazy", str(folder)], check=True)


@contextlib.contextmanager
def no_file_longer_than(size):
    """Writing beyond `size` fails (RLIMIT_FSIZE), for whoever runs the tests."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


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


def test_as_long_as_all_is_well_it_is_a_journal(journal_file):
    recorder = Recorder.at(journal_file)
    recorder.append(*holds(3))
    assert (recorder.trouble, recorder.history, list(recorder)) == ("", (), holds(3))
    recorder.close()
    again = Recorder.at(journal_file)
    assert again.history == tuple(holds(3))
    again.close()


def test_on_a_full_disk_events_wait_until_there_is_space_again(small_disk):
    path, filler = small_disk / "day.journal", small_disk / "filler"
    recorder = Recorder.at(path)
    recorder.append(*holds(5))
    with contextlib.suppress(OSError), filler.open("wb", buffering=0) as file:
        while file.write(bytes(4096)):
            pass
    recorder.append(*holds(12, 5, long=9_000))
    assert recorder.trouble.startswith(f"NOT RECORDING: {path}: the disk is full; free some space")
    assert recorder.trouble.endswith(": 12 events wait")
    recorder.append(*holds(1, 17))
    assert recorder.trouble.endswith(": 13 events wait")
    everything = [*holds(5), *holds(12, 5, long=9_000), *holds(1, 17)]
    assert list(recorder) == everything
    filler.unlink()
    recorder.append(*holds(1, 18))
    assert recorder.trouble == ""
    recorder.close()
    assert on_disk(path) == [*everything, *holds(1, 18)]


def test_a_disk_that_is_full_from_the_beginning_is_said_and_tried_again(small_disk):
    filler, path = small_disk / "filler", small_disk / "day.journal"
    with contextlib.suppress(OSError), filler.open("wb", buffering=0) as file:
        while file.write(bytes(4096)):
            pass
    with pytest.raises(CannotRecordError, match="disk"):
        Journal(path)
    recorder = Recorder.at(path)
    assert "NOT RECORDING" in recorder.trouble
    recorder.append(*holds(2))
    assert recorder.trouble.endswith("2 events wait")
    filler.unlink()
    recorder.append(*holds(1, 2))
    assert recorder.trouble == ""
    recorder.close()
    assert on_disk(path) == holds(3)


def test_where_writing_fails_in_the_midst_nothing_is_torn(journal_file):
    recorder = Recorder.at(journal_file)
    recorder.append(*holds(5))
    with no_file_longer_than(40_000):
        recorder.append(*holds(40, 5, long=2_000))
        assert recorder.trouble.startswith(f"NOT RECORDING: {journal_file}: ")
        assert recorder.trouble.endswith(": 40 events wait")
        recorder.append(*holds(1, 45))
    recorder.append(*holds(1, 46))
    assert recorder.trouble == ""
    recorder.close()
    assert on_disk(journal_file) == [*holds(5), *holds(40, 5, long=2_000), *holds(2, 45)]


def test_what_could_not_be_written_is_tried_once_more_at_the_end(journal_file):
    recorder = Recorder.at(journal_file)
    with no_file_longer_than(4_096):
        recorder.append(*holds(40, long=2_000))
        assert recorder.trouble
    recorder.close()
    assert on_disk(journal_file) == holds(40, long=2_000)


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


def test_without_any_journal_the_day_goes_on_from_memory():
    recorder = Recorder(None, "day.journal: no", keeps=3, history=tuple(holds(1)))
    recorder.append(*holds(2, 1))
    assert list(recorder) == holds(3)
    assert recorder.trouble == "NOT RECORDING: day.journal: no: 2 events wait"
    recorder.append(*holds(2, 3))
    assert recorder.trouble == "NOT RECORDING: day.journal: no: 3 events wait, 1 are lost"
    recorder.close()


def test_a_second_run_on_the_same_journal_is_refused(journal_file):
    recorder = Recorder.at(journal_file)
    with pytest.raises(JournalError, match=f"process {os.getpid()}"):
        Recorder.at(journal_file)
    recorder.close()


def test_a_journal_can_be_read_while_the_day_runs(journal_file):
    recorder = Recorder.at(journal_file)
    recorder.append(*holds(3))
    assert recorded(journal_file) == tuple(holds(3))
    recorder.append(*holds(1, 3))
    assert recorded(journal_file) == tuple(holds(4))
    recorder.close()


def test_a_practice_day_is_kept_in_memory_and_is_no_trouble():
    recorder = Recorder.at(None)
    recorder.append(*holds(3))
    assert (list(recorder), recorder.trouble) == (holds(3), "")
    recorder.close()
