"""The journal keeps what it was given, in order, and lets nobody change it."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from typing import get_args, get_origin, get_type_hints

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from showtime.live import Journal, JournalError
from showtime.live import events as happened
from showtime.live.journal.codec import decode, encode
from showtime.live.journal.journalfile import seal

NOON = datetime(2027, 2, 13, 12, tzinfo=UTC)


def held(minutes):
    return happened.Held(at=NOON + timedelta(minutes=minutes), why="a string snapped")


def test_events_come_back_in_the_order_in_which_they_happened(tmp_path):
    with_events = [held(0), happened.Released(at=NOON), held(2)]
    journal = Journal(tmp_path / "day.journal")
    journal.append(*with_events[:2])
    journal.append(with_events[2])
    journal.close()
    again = Journal(tmp_path / "day.journal")
    assert list(again) == with_events
    again.close()


@pytest.mark.parametrize("deed", ["UPDATE events SET kind = 'Held'", "DELETE FROM events"])
def test_the_file_itself_refuses_to_be_changed(tmp_path, deed):
    path = tmp_path / "day.journal"
    journal = Journal(path)
    journal.append(held(0))
    journal.close()
    with (
        sqlite3.connect(path) as db,
        pytest.raises(sqlite3.IntegrityError, match="only ever added"),
    ):
        db.execute(deed)
    db.close()


def test_a_second_writer_is_refused_with_the_first_ones_process_id(tmp_path):
    path = tmp_path / "day.journal"
    journal = Journal(path)
    with pytest.raises(JournalError, match=f"process {os.getpid()}"):
        Journal(path)
    journal.close()
    Journal(path).close()


def test_a_writer_that_was_killed_holds_nobody_up(tmp_path):
    path = tmp_path / "day.journal"
    code = (
        "import os, signal, sys; from pathlib import Path; from showtime.live import Journal; "
        "journal = Journal(Path(sys.argv[1])); os.kill(os.getpid(), signal.SIGKILL)"
    )
    killed = subprocess.run([sys.executable, "-c", code, str(path)], check=False, timeout=30)
    assert killed.returncode == -9
    Journal(path).close()


def test_a_file_that_is_no_journal_is_refused_and_left_alone(tmp_path):
    path = tmp_path / "letter.txt"
    path.write_text("Dear keeper, " * 100)
    with pytest.raises(JournalError, match="letter.txt"):
        Journal(path)
    assert path.read_text() == "Dear keeper, " * 100


def test_another_programs_database_is_refused(tmp_path):
    path = tmp_path / "other.db"
    with sqlite3.connect(path) as db:
        db.execute("PRAGMA application_id = 7")
        db.execute("CREATE TABLE songs (name)")
    db.close()
    with pytest.raises(JournalError, match="another program"):
        Journal(path)


def test_a_folder_that_cannot_be_made_is_one_clear_line(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(JournalError, match="cannot keep a journal there"):
        Journal(tmp_path / "file" / "day.journal")


def test_an_event_of_a_newer_program_is_refused_not_guessed(tmp_path):
    path = tmp_path / "day.journal"
    Journal(path).close()
    with sqlite3.connect(path) as db:
        sealed = seal(1, (99, "Flown", b"[]"))
        db.execute("INSERT INTO events VALUES (1, 99, 'Flown', '[]', ?)", [sealed])
    db.close()
    with pytest.raises(JournalError, match="newer program"):
        Journal(path)
    with sqlite3.connect(path) as db:
        assert db.execute("SELECT kind FROM events").fetchall() == [("Flown",)]
    db.close()


moments = st.datetimes(timezones=st.just(UTC))
slots = st.builds(happened.Slot, starts=moments, piece=st.text())
hushes = st.builds(happened.Hush, start=moments, end=moments, why=st.text())
figures = st.floats(allow_nan=False, allow_infinity=False)
caps = st.builds(happened.Cap, most=figures, seconds=figures, distance_m=figures)
BY_TYPE = {
    datetime: moments,
    happened.Slot: slots,
    happened.Hush: hushes,
    happened.Cap: caps,
    str: st.text(),
    type(None): st.none(),
}


def of_type(hint):
    """Any value of a field's type: of a plain one, one that may be None, or many in a tuple."""
    inside = [of_type(inner) for inner in get_args(hint) if inner is not ...]
    if get_origin(hint) is tuple:
        return st.lists(inside[0], max_size=4).map(tuple)
    if inside:
        return st.one_of(inside)
    return BY_TYPE[hint] if hint in BY_TYPE else st.from_type(hint)


def any_event():
    return st.one_of(
        st.builds(kind, **{name: of_type(hint) for name, hint in get_type_hints(kind).items()})
        for kind in happened.KINDS
    )


@settings(max_examples=300, deadline=None, derandomize=True)
@given(any_event())
def test_every_event_reads_back_as_it_was_written(event):
    assert decode(*encode(event)) == event


@pytest.mark.parametrize(
    ("kind", "body"),
    [("Flown", "{}"), ("Held", "{}"), ("Held", "[]"), ("Held", "no json"), ("Held", '{"at": 3}')],
)
def test_what_is_no_event_is_a_value_error(kind, body):
    with pytest.raises(ValueError, match="."):
        decode(kind, body)
