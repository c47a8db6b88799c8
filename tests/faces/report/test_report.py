"""What the day came to: told from the journal, and never otherwise than it was."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from showtime.faces.report import document, page, printed, tables
from showtime.fair import Performance, Plan, QuietInterval, Span
from showtime.fair.wishes import mean_wait
from showtime.live.account import Account, account_in
from showtime.live.journal import JournalError

Lived = Any
Live = Callable[..., Any]
MINUTE = timedelta(minutes=1)


def account(day: Lived, now: datetime | None = None) -> Account:
    return account_in(day.stall, now or day.clock.now(), day.plan.day.date, day.path)


def moments(found: dict[str, Any], *keys: str) -> list[datetime]:
    rows: Any = found
    for key in keys[:-1]:
        rows = rows[key]
    return [datetime.fromisoformat(row[keys[-1]]) for row in rows]


def test_it_tells_who_asked_and_how_long_each_waited(saturday_lived: Lived) -> None:
    found = document(account(saturday_lived))
    asked = [datetime.fromisoformat(each) for each in found["waits"]["asked"]]
    assert asked == sorted(saturday_lived.told)
    starts = [played.started for played in account(saturday_lived).state.played]
    for moment, wait in zip(asked, found["waits"]["minutes"], strict=True):
        later = [start for start in starts if start >= moment]
        if wait is None:
            assert not later
        else:
            assert wait == pytest.approx((later[0] - moment) / MINUTE, abs=0.001)
    assert found["asked"]["total"] == len(asked)
    assert sum(row["asks"] for row in found["asked"]["per_hour"]) == len(asked)


def test_asks_are_counted_as_the_day_itself_counts_them(saturday_lived: Lived) -> None:
    found = account(saturday_lived)
    assert len(found.asks) == found.state.asked


def test_the_plan_promised_a_wait_and_it_is_told_beside_what_was_had(
    saturday_lived: Lived, saturday_plan: Plan
) -> None:
    found = document(account(saturday_lived))
    promised = saturday_plan.mean_wait / MINUTE
    assert found["waits"]["promised_mean"] == pytest.approx(promised, abs=0.001)
    had = mean_wait(saturday_plan.day.hours, moments(found, "performances", "started"))
    assert found["waits"]["kept_mean"] == pytest.approx(had / MINUTE, abs=0.001)
    assert found["waits"]["kept_mean"] > found["waits"]["promised_mean"]


def test_an_undisturbed_day_goes_as_the_plan_says(live: Live, saturday_plan: Plan) -> None:
    found = document(account(live(saturday_plan)))
    planned = [(p.starts, p.piece.name) for p in saturday_plan.performances]
    assert [
        (datetime.fromisoformat(row["started"]), row["piece"]) for row in found["performances"]
    ] == planned
    assert {row["late_seconds"] for row in found["performances"]} == {0.0}
    assert found["not_played"] == found["incidents"] == found["notes"] == []
    assert found["promises"]["broken"] == found["promises"]["changed"] == 0
    assert found["promises"]["kept"] > 5
    for cap in found["caps"]:
        assert cap["used"] == cap["planned"]
        assert cap["share"] <= 1


def test_what_the_figure_measured_stands_beside_what_was_estimated(
    live: Live, saturday_plan: Plan
) -> None:
    from showtime.faces.report.figures import figures
    from showtime.live import Journal
    from showtime.live import events as happened

    day = live(saturday_plan, asks=5)
    told = dict(figures(document(account(day))))
    assert told["motors at most, measured"] == "–"
    assert told["motors at most, estimated"] == "41.0 °C"  # as the run sheet has it
    journal = Journal(day.path)
    for rise in (9_000, 22_500, 12_000):
        journal.append(happened.Measured(at=day.clock.now(), rise_mk=rise))
    journal.close()
    told = dict(figures(document(account(day))))
    assert told["motors at most, measured"] == "43.5 °C"  # 21 °C and 22.5 K


def test_every_incident_of_a_disturbed_day_is_told(saturday_lived: Lived) -> None:
    found = document(account(saturday_lived))
    kinds = {each["kind"] for each in found["incidents"]}
    assert {"hold", "quiet added", "power cut", "late", "called off", "missed"} <= kinds
    hold = next(each for each in found["incidents"] if each["kind"] == "hold")
    assert (hold["at"][11:16], hold["until"][11:16]) == ("10:40", "10:48")
    cut = next(each for each in found["incidents"] if each["kind"] == "power cut")
    assert cut["at"][11:16] <= "13:01" <= cut["until"][11:16] == "13:04"
    assert found["promises"]["changed"] == found["promises"]["apologised"] > 0


def test_the_journal_is_left_as_it_is(saturday_lived: Lived) -> None:
    before = hashlib.sha256(saturday_lived.path.read_bytes()).digest()
    found = document(account(saturday_lived))
    page([found]), printed([found]), tables(found)
    assert hashlib.sha256(saturday_lived.path.read_bytes()).digest() == before


def test_a_day_that_still_runs_is_told_up_to_now(live: Live, saturday_plan: Plan) -> None:
    noon = saturday_plan.day.hours.start + timedelta(hours=2)
    running = live(saturday_plan, until=noon, ends=False)
    found = document(account(running, noon))
    assert found["record"]["running"]
    assert any("still running" in note for note in found["notes"])
    assert found["waits"]["kept_mean"] is None
    assert not found["not_played"]
    assert len(found["performances"]) == sum(s <= noon for s in saturday_plan.starts)
    running.tell("hold", "lunch")  # its journal is still its own
    assert account(running, noon).happenings[-1].why == "lunch"
    running.end()


def test_a_day_that_breaks_off_says_where(live: Live, saturday_plan: Plan) -> None:
    noon = saturday_plan.day.hours.start + timedelta(hours=2)
    cut = live(saturday_plan, until=noon, ends=False)
    cut.cut_power()
    found = document(account(cut, noon + timedelta(days=3)))
    assert any("breaks off at 1" in note for note in found["notes"])
    assert found["not_played"]


def test_a_day_on_which_nothing_happened_is_a_report_too(
    live: Live, saturday_plan: Plan, tmp_path: Path
) -> None:
    idle = live(replace(saturday_plan, performances=()), asks=0)
    found = document(account(idle))
    assert found["performances"] == found["waits"]["minutes"] == []
    assert found["waits"]["mean"] is None
    assert "None." in page([found])
    assert len(pypdfium2.PdfDocument(printed([found]))) >= 1
    assert all(tables(found).values())
    from showtime.live import Journal

    empty = tmp_path / "empty.journal"
    Journal(empty).close()
    nothing = account_in(idle.stall, idle.clock.now(), idle.plan.day.date, empty)
    assert "Nothing was recorded on this day." in document(nothing)["notes"]
    assert page([document(nothing)])


def test_of_a_damaged_journal_the_rest_is_told_and_that_it_is_the_rest(
    saturday_lived: Lived, tmp_path: Path
) -> None:
    whole = account(saturday_lived)
    body = bytearray(saturday_lived.path.read_bytes())
    body[: len(body) // 3] = b"\0" * (len(body) // 3)
    torn = tmp_path / "torn.journal"
    torn.write_bytes(body)
    found = account_in(saturday_lived.stall, saturday_lived.clock.now(), whole.day.date, torn)
    assert 0 < len(found.events) < len(whole.events)
    assert set(found.events) <= set(whole.events)
    told = document(found)
    assert told["record"]["damaged"]
    assert "The journal is damaged" in told["notes"][0]
    assert "The journal is damaged" in page([told])
    assert torn.read_bytes() == bytes(body)


def test_a_journal_on_a_medium_that_cannot_be_written_to_is_whole(
    live: Live, saturday_plan: Plan
) -> None:
    day = live(saturday_plan, asks=20)
    whole = account(day)
    # In the place where SQLite would make its own file for readers nothing can be made.
    shared = day.path.with_name(day.path.name + "-shm")
    shared.unlink(missing_ok=True)
    shared.mkdir()
    found = account(day)
    assert found.events == whole.events
    assert not found.read.damaged
    assert document(found)["notes"] == []


def test_a_journal_of_an_older_program_is_read_as_it_is(
    saturday_lived: Lived, tmp_path: Path
) -> None:
    old = tmp_path / "old.journal"
    with sqlite3.connect(old) as db:
        db.executescript(
            "CREATE TABLE events (number INTEGER PRIMARY KEY, version INTEGER NOT NULL,"
            " kind TEXT NOT NULL, body TEXT NOT NULL) STRICT;"
            f"PRAGMA application_id = {0x53544A31}"
        )
        held = {"at": "2027-02-13T12:00:00+00:00", "why": "a string snapped"}
        db.execute("INSERT INTO events VALUES (1, 1, 'Held', ?)", [json.dumps(held)])
    db.close()
    before = old.read_bytes()
    found = account_in(saturday_lived.stall, saturday_lived.clock.now(), date(2027, 2, 13), old)
    assert [each.why for each in found.happenings] == ["a string snapped"]
    assert not found.read.damaged
    assert old.read_bytes() == before


def test_a_day_that_was_ended_early_says_so(live: Live, saturday_plan: Plan) -> None:
    noon = saturday_plan.day.hours.start + timedelta(hours=2)
    found = document(account(live(saturday_plan, until=noon)))
    assert found["notes"] == ["The day was ended at 12:00, before closing."]


def test_what_is_no_journal_is_said(saturday_lived: Lived, tmp_path: Path) -> None:
    stall, now, day = saturday_lived.stall, saturday_lived.clock.now(), date(2027, 2, 13)
    with pytest.raises(JournalError, match="there is no journal; name one with --journal"):
        account_in(stall, now, day, tmp_path / "none.journal")
    (tmp_path / "letter.txt").write_text("Dear fair,\n" * 99)
    with pytest.raises(JournalError, match="no journal, or nothing of it can be read"):
        account_in(stall, now, day, tmp_path / "letter.txt")
    with sqlite3.connect(tmp_path / "other.db") as db:
        db.execute("CREATE TABLE mine (a)")
    db.close()
    with pytest.raises(JournalError):
        account_in(stall, now, day, tmp_path / "other.db")
    elsewhere = replace(stall, signboard=replace(stall.signboard, stall="The Lantern Cart"))
    with pytest.raises(JournalError, match="is the journal of The Tin Orchard"):
        account_in(elsewhere, now, day, saturday_lived.path)


def test_pieces_that_the_settings_no_longer_have_are_told_all_the_same(
    saturday_lived: Lived,
) -> None:
    stall = saturday_lived.stall
    (day,) = stall.days
    fewer = replace(stall, days=(replace(day, pieces=day.pieces[1:], budgets=day.budgets),))
    found = document(account_in(fewer, saturday_lived.clock.now(), day.date, saturday_lived.path))
    assert any("Frost Bells" in note for note in found["notes"])
    assert {row["piece"] for row in found["performances"]} == {"Frost Bells"}


@pytest.fixture
def night_plan(saturday_plan: Plan) -> Plan:
    """Past midnight into the hour that comes twice: London, 31 October 2027, back at two."""
    begins = datetime(2027, 10, 30, 21, 0, tzinfo=UTC)
    day = replace(
        saturday_plan.day,
        date=date(2027, 10, 30),
        hours=Span(begins, begins + timedelta(hours=6)),
        quiet=(QuietInterval("sleep", Span(begins, begins + 20 * MINUTE)),),
        budgets=(),
        wishes=replace(saturday_plan.day.wishes, fixed=(), busy=()),
    )
    starts = [begins + 30 * MINUTE * n for n in range(1, 11)]
    return Plan(day, tuple(Performance(each, day.pieces[0]) for each in starts))


def test_a_night_past_midnight_on_which_the_clocks_go_back(live: Live, night_plan: Plan) -> None:
    night = live(night_plan, asks=120)
    found = document(account(night))
    assert moments(found, "performances", "started") == night_plan.starts
    hours = [row["hour"][11:] for row in found["asked"]["per_hour"]]
    assert hours == [
        *("22:00:00+01:00", "23:00:00+01:00", "00:00:00+01:00"),
        *("01:00:00+01:00", "01:00:00+00:00", "02:00:00+00:00"),
    ]
    assert sum(row["asks"] for row in found["asked"]["per_hour"]) == 120
    shown = page([found])
    assert "01:30 +01:00" in shown
    assert "01:30 +00:00" in shown
    assert found["waits"]["longest"] <= 60
