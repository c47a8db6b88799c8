"""Journals of older programs, interrupted mending, rows that run over pages, and odd characters."""

from __future__ import annotations

import json
import sqlite3
from datetime import UTC, datetime, timedelta

import pytest

from showtime.live import Journal, JournalError
from showtime.live import events as happened
from showtime.live.journal import recorded
from showtime.live.journal.codec import decode, encode
from showtime.live.journal.journalfile import seal

NOON = datetime(2027, 2, 13, 12, tzinfo=UTC)


def held(minutes, why="a string snapped"):
    return happened.Held(at=NOON + timedelta(minutes=minutes), why=why)


@pytest.fixture
def path(tmp_path):
    return tmp_path / "day.journal"


def kept_aside(path):
    beside = path.parent.glob(f"{path.name}.*-*")
    return sorted(file.name.removeprefix(path.name) for file in beside)


def made(path, *events):
    journal = Journal(path)
    journal.append(*events)
    journal.close()


def test_a_journal_without_seals_is_written_anew_and_the_old_one_kept(path):
    with sqlite3.connect(path) as db:
        db.execute("PRAGMA journal_mode = WAL")
        db.executescript(
            "CREATE TABLE events (number INTEGER PRIMARY KEY, version INTEGER NOT NULL,"
            " kind TEXT NOT NULL, body TEXT NOT NULL) STRICT;"
            f"PRAGMA application_id = {0x53544A31}"
        )
        old = {"at": NOON.isoformat(), "why": "a string snapped"}
        insert = "INSERT INTO events (version, kind, body) VALUES (1, ?, ?)"
        db.execute(insert, ["Held", json.dumps(old)])
        db.execute(insert, ["Released", json.dumps({"at": NOON.isoformat()})])
    db.close()
    journal = Journal(path)
    assert list(journal.history) == [held(0), happened.Released(at=NOON)]
    assert not journal.notice
    journal.append(held(1))
    journal.close()
    assert recorded(path)[-1] == held(1)
    assert kept_aside(path) == [".older-1"]


def test_an_event_that_gained_a_field_since_is_read_with_its_default():
    kind, body = encode(
        happened.DayBegan(at=NOON, stall="Stall", date=NOON.date(), slots=(), tomorrow=NOON)
    )
    shorter = json.dumps(json.loads(body)[:4])
    read = decode(kind, shorter)
    assert read == happened.DayBegan(at=NOON, stall="Stall", date=NOON.date(), slots=())


@pytest.mark.parametrize("body", ['["2027-02-13T12:00:00+00:00"]', '["2027-02-13", "a", 3]', "3"])
def test_an_event_with_too_few_or_too_many_values_is_none(body):
    with pytest.raises(ValueError, match="."):
        decode("Held", body)


def test_half_a_character_from_the_command_line_is_kept_as_it_is(path):
    odd = held(0, why=b"caf\xe9".decode("utf-8", "surrogateescape"))
    made(path, odd, held(1, why="café ☕ \x00 \u2028"))
    assert recorded(path) == (odd, held(1, why="café ☕ \x00 \u2028"))


@pytest.mark.parametrize("length", [3_900, 4_100, 9_000, 20_000])
def test_events_longer_than_a_page_are_rescued_too(path, length):
    events = [held(0), held(1, why="x" * length), held(2)]
    made(path, *events)
    whole = path.read_bytes()
    path.write_bytes(b"\x00" * 100 + whole[100:])
    journal = Journal(path)
    assert list(journal.history) == events
    assert "3 events could be read, none lost" in journal.notice
    journal.close()
    assert path.with_name("day.journal.damaged-1").read_bytes() == b"\x00" * 100 + whole[100:]


def test_one_event_that_is_not_as_it_was_written_costs_only_itself(path):
    made(path, *(held(n, why=f"reason {n}") for n in range(30)))
    whole = path.read_bytes()
    path.write_bytes(whole.replace(b'"reason 17"', b'"reason 71"'))
    journal = Journal(path)
    assert list(journal.history) == [held(n, why=f"reason {n}") for n in range(30) if n != 17]
    assert "29 events could be read, 1 lost" in journal.notice
    assert "day.journal.damaged-1" in journal.notice
    journal.close()


def test_a_sealed_event_that_this_program_does_not_know_costs_only_itself(path):
    made(path, held(0))
    with sqlite3.connect(path) as db:
        for number, kind in ((2, "Flown"), (3, "Released")):
            body = json.dumps([NOON.isoformat()], separators=(",", ":"))
            sealed = seal(number, (2, kind, body.encode()))
            db.execute("INSERT INTO events VALUES (?, 2, ?, ?, ?)", [number, kind, body, sealed])
    db.close()
    journal = Journal(path)
    assert list(journal.history) == [held(0), happened.Released(at=NOON)]
    assert "1 lost" in journal.notice
    journal.close()


def test_a_power_cut_between_mending_and_putting_in_place_loses_nothing(path):
    made(path, held(0), held(1))
    mended = path.read_bytes()
    path.with_name("day.journal.ready").write_bytes(mended)
    path.write_bytes(mended[:-1000])
    path.with_name("day.journal-wal").write_bytes(b"what the power cut left")
    journal = Journal(path)
    assert list(journal.history) == [held(0), held(1)]
    journal.close()
    assert kept_aside(path) == [".damaged-1", ".damaged-1-wal"]
    assert path.with_name("day.journal.damaged-1").read_bytes() == mended[:-1000]


def test_a_power_cut_while_the_fresh_one_is_written_loses_nothing(path):
    made(path, held(0), held(1))
    whole = path.read_bytes()
    path.with_name("day.journal.fresh").write_bytes(whole[:5000])
    path.write_bytes(b"\x00" * 100 + whole[100:])
    journal = Journal(path)
    assert list(journal.history) == [held(0), held(1)]
    journal.close()
    assert not path.with_name("day.journal.fresh").exists()


def test_an_older_copy_in_its_place_is_noticed(path):
    made(path, held(0))
    older = path.read_bytes()
    made(path, held(1), held(2))
    path.write_bytes(older)
    journal = Journal(path)
    assert list(journal.history) == [held(0)]
    assert "1 event could be read, 2 lost" in journal.notice
    journal.close()


def test_another_programs_database_without_a_mark_is_left_alone(path):
    with sqlite3.connect(path) as db:
        db.execute("CREATE TABLE songs (name)")
    db.close()
    before = path.read_bytes()
    with pytest.raises(JournalError, match="another program"):
        Journal(path)
    assert path.read_bytes() == before


def test_an_empty_file_is_a_new_journal(path):
    path.touch()
    journal = Journal(path)
    assert (journal.history, journal.notice) == ((), "")
    journal.append(held(0))
    journal.close()
    assert recorded(path) == (held(0),)


def test_a_folder_in_its_place_is_one_clear_line(path):
    path.mkdir()
    with pytest.raises(JournalError, match="a folder; give --journal"):
        Journal(path)
