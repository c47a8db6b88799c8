"""Whatever happens to the disk, the day goes on, and says that it is not recording."""

from __future__ import annotations

import contextlib
import os
import resource
import shutil
import subprocess
from datetime import UTC, datetime, timedelta

import pytest

from showtime.live import Journal, JournalError
from showtime.live import events as happened
from showtime.live.journal import CannotRecordError, recorded
from showtime.live.journal.recorder import Recorder

NOON = datetime(2027, 2, 13, 12, tzinfo=UTC)


def holds(count, begin=0, long=0):
    return [
        happened.Held(at=NOON + timedelta(seconds=number), why=f"a string snapped{'.' * long}")
        for number in range(begin, begin + count)
    ]


def fill(filler):
    """Let a file grow until there is no space left."""
    with contextlib.suppress(OSError), filler.open("wb", buffering=0) as file:
        while file.write(bytes(4096)):
            pass


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
    fill(filler)
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
    fill(filler)
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


def test_a_damaged_journal_on_a_full_disk_is_read_and_left_alone(small_disk):
    path, filler = small_disk / "day.journal", small_disk / "filler"
    journal = Journal(path)
    journal.append(*holds(20, long=2_000))
    journal.close()
    damaged = bytes(100) + path.read_bytes()[100:]
    path.write_bytes(damaged)
    fill(filler)
    recorder = Recorder.at(path)
    assert recorder.history == tuple(holds(20, long=2_000))
    assert "NOT RECORDING" in recorder.trouble
    assert path.read_bytes() == damaged
    recorder.append(*holds(1, 20))
    filler.unlink()
    recorder.append(*holds(1, 21))
    assert recorder.trouble == ""
    assert "damaged-1" in recorder.notice
    recorder.close()
    assert on_disk(path) == [*holds(20, long=2_000), *holds(2, 20)]


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
