"""A weekend: the evening answer, the night, and what was promised for the next day."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from showtime.fair import instant
from showtime.live import Desk, Outcome, SimulatedClock, Stage
from showtime.live import events as happened
from showtime.live.ledger import looked_at
from showtime.live.opening import Opener, open_record
from showtime.live.places import journal_path
from showtime.live.ports import WordsOnly
from showtime.wording import Kind


@pytest.fixture
def weekend(tin_orchard, tmp_path, monkeypatch):
    """Opens the demo stall's weekend in simulated time at a moment of it."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))

    def opened(moment):
        clock = SimulatedClock(local(tin_orchard, moment))
        desk = Desk(tin_orchard, tmp_path, clock)
        opener = Opener(
            desk, clock, clock, WordsOnly(clock), 1, lambda day: journal_path(tin_orchard, day.date)
        )
        asked = desk.live("", moment)
        record = open_record(opener.journal_of(asked.day), tin_orchard, asked.day)
        return opener, opener.open(asked.day, record)

    return opened


def local(stall, moment):
    return instant(datetime.fromisoformat(moment).replace(tzinfo=stall.signboard.timezone))


def test_the_evening_answer_tells_the_next_days_first_start_and_it_is_kept(weekend, tin_orchard):
    opener, saturday = weekend("2027-02-13T16:50")
    opener.clock.turn_to(local(tin_orchard, "2027-02-13T18:00"))
    evening = saturday.asked("key")
    assert evening.kind is Kind.TOMORROW
    assert opener.following(saturday) is None
    opener.clock.turn_to(local(tin_orchard, "2027-02-14T00:00"))
    sunday = opener.following(saturday)
    saturday.end()
    assert sunday.state.day.date == tin_orchard.days[1].date
    assert sunday.state.promised() == (evening.told,)
    opener.clock.turn_to(local(tin_orchard, "2027-02-14T08:00"))
    assert sunday.asked("key").told == evening.told
    opener.clock.turn_to(evening.told + timedelta(minutes=1))
    assert sunday.state.promises[0].outcome is Outcome.KEPT


def test_a_promise_for_tomorrow_outlives_a_night_with_the_power_off(weekend, tin_orchard):
    opener, saturday = weekend("2027-02-13T17:30")
    told = saturday.asked("key").told
    saturday.end()
    _, sunday = weekend("2027-02-14T09:00")
    assert sunday.state.promised() == (told,)
    sunday.end()


def test_a_promise_that_the_new_plan_does_not_have_is_planned_in(weekend, tin_orchard, monkeypatch):
    opener, saturday = weekend("2027-02-13T17:30")
    odd = local(tin_orchard, "2027-02-14T10:20")
    record = open_record(
        journal_path(tin_orchard, tin_orchard.days[1].date), tin_orchard, tin_orchard.days[1]
    )
    monkeypatch.setattr(opener, "_told_before", (odd,))
    sunday = opener.open(tin_orchard.days[1], record)
    assert odd in [slot.starts for slot in sunday.state.upcoming]
    sunday.end()
    saturday.end()


def test_after_the_last_day_nothing_follows(weekend, tin_orchard):
    opener, sunday = weekend("2027-02-14T15:00")
    opener.clock.turn_to(local(tin_orchard, "2027-02-20T12:00"))
    assert opener.following(sunday) is None
    assert sunday.asked("key").kind is Kind.NONE_LEFT
    sunday.end()


def test_the_eve_of_the_fair_waits_for_the_opening(weekend, tin_orchard):
    opener, saturday = weekend("2027-02-12T19:00")
    assert saturday.asked("key").kind is Kind.TOMORROW
    assert not saturday.state.missed
    opener.clock.turn_to(local(tin_orchard, "2027-02-13T17:00"))
    assert len(saturday.state.played) >= 10
    assert {p.outcome for p in saturday.state.promises} == {Outcome.KEPT}
    saturday.end()


def test_each_day_has_a_journal_of_its_own(weekend, tin_orchard):
    opener, saturday = weekend("2027-02-13T16:50")
    opener.clock.turn_to(local(tin_orchard, "2027-02-14T00:00"))
    sunday = opener.following(saturday)
    saturday.end()
    sunday.end()
    for day in tin_orchard.days:
        journal = open_record(journal_path(tin_orchard, day.date), tin_orchard, day)
        began = [e for e in journal.history if isinstance(e, happened.DayBegan)]
        assert [e.date for e in began] == [day.date]
        journal.close()


def test_a_journal_that_lost_its_beginning_still_has_its_promises(weekend, tin_orchard):
    opener, saturday = weekend("2027-02-13T12:00")
    said = saturday.asked("key")
    history = tuple(e for e in saturday_journal(tin_orchard) if isinstance(e, happened.Answered))
    saturday.end()
    path = journal_path(tin_orchard, tin_orchard.days[0].date)
    for file in path.parent.glob(f"{path.name}*"):
        file.unlink()
    rescued = open_record(path, tin_orchard, tin_orchard.days[0])
    rescued.append(*history)
    rescued.close()
    _, again = weekend("2027-02-13T12:01")
    assert again.state.stage is Stage.HELD
    assert again.state.promised() == (said.told,)
    assert said.told in [slot.starts for slot in again.state.upcoming]
    again.end()


def saturday_journal(stall):
    return looked_at(journal_path(stall, stall.days[0].date))
