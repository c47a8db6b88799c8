"""A day runs in simulated time: starts, calls, questions, and the keeper's hand on it."""

from __future__ import annotations

from datetime import timedelta

import pytest

from showtime.live import Journal, Stage, fold
from showtime.live import events as happened
from showtime.live.keeper.mend import breaks, performed
from showtime.live.ports import WordsOnly
from showtime.live.state import DayState, Outcome
from showtime.wording import Kind


def events(stage, kind):
    return [event for event in stage.journal if isinstance(event, kind)]


def outcomes(stage):
    return {f"{p.told:%H:%M}": p.outcome for p in stage.state.promises}


def test_every_performance_starts_at_its_time_and_is_played_to_its_end(open_stage):
    stage = open_stage()
    stage.turn("13:10")
    starts = [f"{event.at:%H:%M:%S}" for event in events(stage, happened.Started)]
    assert starts == ["10:30:00", "11:00:00", "11:30:00", "12:00:00", "12:30:00"]
    assert [f"{event.at:%H:%M}" for event in events(stage, happened.Finished)] == [
        "10:35", "11:08", "11:35", "12:08", "12:35",
    ]  # fmt: skip
    assert stage.figure.told == ["play Bells", "play Dance"] * 2 + ["play Bells"]


def test_the_journal_folds_to_the_live_state_after_every_event(open_stage):
    stage = open_stage()
    for clock in ("10:10", "10:24", "10:31", "11:14", "12:45"):
        stage.turn(clock)
        stage.running.asked("key")
        fresh = DayState(stage.day, stage.state.keep_within)
        assert fold(fresh, stage.journal) == stage.state


def test_a_promise_is_in_the_journal_before_it_is_spoken(open_stage, tmp_path):
    journal = Journal(tmp_path / "day.journal")

    class Attentive(WordsOnly):
        def say(self, said, *, softly):
            last = list(journal)[-1]
            assert isinstance(last, happened.Answered)
            ((text, _language),) = said
            assert last.text == text
            super().say(said, softly=softly)
            heard.append(text)

    heard: list[str] = []
    clock = open_stage().clock
    stage = open_stage(journal=journal, speech=Attentive(clock))
    stage.turn("10:10")
    stage.running.asked("key")
    assert len(heard) == 1
    journal.close()


def test_a_child_that_presses_twenty_times_hears_one_answer_to_its_end(open_stage):
    stage = open_stage()
    stage.turn("10:10")
    for _ in range(20):
        stage.running.asked("clicker")
    assert len(events(stage, happened.Answered)) == 1
    assert len(events(stage, happened.Asked)) == 19
    assert stage.state.asked == 20
    stage.turn("10:11")
    stage.running.asked("clicker")
    first, second = events(stage, happened.Answered)
    assert first.text != second.text


def test_an_answer_that_is_no_longer_true_does_not_serve(open_stage):
    stage = open_stage("10:29:50")
    first = stage.running.asked("key")
    stage.turn("10:30")
    second = stage.running.asked("key")
    assert (first.kind, second.kind) == (Kind.SOON, Kind.PLAYING)


def test_in_a_silent_interval_the_words_stand_on_the_screen_alone(open_stage):
    stage = open_stage()
    stage.turn("11:15")
    said = stage.running.asked("key")
    assert said.spoken == "silent"
    assert not stage.speech.speaking
    assert said.told == stage.at("11:30")


def test_a_crowd_is_called_before_a_start(open_stage):
    stage = open_stage()
    stage.turn("10:26")
    calls = events(stage, happened.Answered)
    assert [(call.kind, call.trigger, f"{call.at:%H:%M}") for call in calls] == [
        (Kind.CALL, "call", "10:25")
    ]
    assert stage.state.asked == 0
    assert outcomes(stage) == {"10:30": Outcome.OPEN}


def test_nobody_is_called_who_has_just_asked(open_stage):
    stage = open_stage()
    stage.turn("10:24:30")
    stage.running.asked("key")
    stage.turn("10:29")
    assert [event.kind for event in events(stage, happened.Answered)] == [Kind.NEXT]


def test_nobody_is_called_in_a_quiet_interval_or_while_held(open_stage):
    stage = open_stage()
    stage.turn("11:24")
    stage.turn("11:26")
    calls = [f"{event.at:%H:%M}" for event in events(stage, happened.Answered)]
    assert calls == ["10:25", "10:55", "11:25"]
    stage.turn("11:50")
    stage.running.tell(["hold"])
    stage.turn("11:59")
    assert len(events(stage, happened.Answered)) == 3


def test_promises_are_kept_by_starting_at_their_time(open_stage):
    stage = open_stage()
    for clock in ("10:10", "10:32", "11:40"):
        stage.turn(clock)
        stage.running.asked("key")
    stage.turn("12:50")
    assert set(outcomes(stage).values()) == {Outcome.KEPT}


def test_a_late_start_moves_is_told_at_once_and_breaks_no_rule(open_stage):
    stage = open_stage()
    stage.turn("10:10")
    stage.running.asked("key")
    stage.turn("10:12")
    said = stage.running.tell(["late", "10"])
    assert said == "10:30 Bells becomes 10:40."
    apology = events(stage, happened.Answered)[-1]
    assert (apology.kind, apology.trigger) == (Kind.CHANGED, "of itself")
    assert apology.told == stage.at("10:40")
    assert outcomes(stage) == {"10:30": Outcome.CHANGED, "10:40": Outcome.OPEN}
    stage.turn("10:41")
    assert outcomes(stage)["10:40"] is Outcome.KEPT


def test_a_late_start_does_not_move_a_promise_after_it(open_stage):
    stage = open_stage()
    stage.turn("10:31")
    stage.running.asked("key")  # while Bells play: promises 11:00
    stage.turn("10:40")
    stage.running.tell(["late", "35"])
    assert stage.state.next.starts >= stage.at("11:25")
    assert outcomes(stage)["11:00"] is Outcome.CHANGED
    stage.turn("13:00")
    assert Outcome.BROKEN not in outcomes(stage).values()


def test_what_was_promised_in_the_meantime_moves_too(open_stage):
    stage = open_stage()
    stage.turn("10:31")
    stage.running.asked("key")  # while Bells play: promises 11:00
    stage.turn("10:36")
    stage.running.tell(["skip"])  # the keeper thinks better of it, and 11:30 is next
    stage.turn("10:40")
    stage.running.asked("key")
    stage.running.tell(["late", "35"])
    assert stage.state.next.starts >= stage.at("12:05")
    assert outcomes(stage)["11:30"] is Outcome.CHANGED


def test_a_hold_stops_the_figure_at_once(open_stage):
    stage = open_stage()
    stage.turn("10:32")
    stage.running.tell(["hold"])
    assert stage.figure.told[-1] == "stop"
    assert stage.state.played[-1].interrupted
    assert stage.state.stage is Stage.HELD


def test_nothing_moves_while_held(open_stage):
    stage = open_stage()
    stage.turn("10:20")
    stage.running.tell(["hold"])
    stage.turn("12:20")
    assert not events(stage, happened.Started)


def test_a_start_that_is_just_due_comes_when_released(open_stage):
    stage = open_stage()
    stage.turn("10:29")
    stage.running.tell(["hold"])
    stage.turn("10:30:20")
    stage.running.tell(["release"])
    assert [f"{event.at:%H:%M:%S}" for event in events(stage, happened.Started)] == ["10:30:20"]


def test_what_was_held_too_long_is_missed_not_fired_in_a_burst(open_stage):
    stage = open_stage()
    stage.turn("10:20")
    stage.running.asked("key")
    stage.running.tell(["hold"])
    stage.turn("11:31:30")
    said = stage.running.tell(["release"])
    assert said == "Going on. Missed while held: 10:30, 11:00, 11:30."
    assert not events(stage, happened.Started)
    assert outcomes(stage) == {"10:30": Outcome.CHANGED}
    assert stage.state.promises[
        0
    ].is_unsaid  # too long ago for an apology: the ledger calls it broken
    stage.turn("12:01")
    assert [f"{event.at:%H:%M}" for event in events(stage, happened.Started)] == ["12:00"]


def test_a_skipped_start_is_left_out(open_stage):
    stage = open_stage()
    stage.turn("10:10")
    stage.running.tell(["skip"])
    stage.turn("11:01")
    assert [f"{event.at:%H:%M}" for event in events(stage, happened.Started)] == ["11:00"]


@pytest.mark.parametrize("action", ["hold", "release", "skip"])
def test_actions_that_make_no_sense_are_refused_in_words(open_stage, action):
    stage = open_stage()
    if action == "hold":
        stage.running.tell(["hold"])
    if action == "skip":
        stage.turn("12:50")
    before = stage.state.stage
    said = stage.running.tell([action])
    assert said.endswith(".")
    assert stage.state.stage is before


def test_after_a_stop_the_day_goes_on_held_with_its_promises(open_stage, tmp_path):
    journal = Journal(tmp_path / "day.journal")
    stage = open_stage(journal=journal)
    stage.turn("10:31")
    stage.running.asked("key")
    journal.close()  # as if the power had gone
    again = Journal(tmp_path / "day.journal")
    resumed = open_stage("10:50", journal=again)
    assert resumed.state.stage is Stage.HELD
    assert resumed.state.played[-1].interrupted
    assert resumed.state.promised() == (resumed.at("11:00"),)
    resumed.running.tell(["release"])
    resumed.turn("11:01")
    assert outcomes(resumed)["11:00"] is Outcome.KEPT
    again.close()


def test_words_are_not_said_again_after_a_restart(open_stage, tmp_path):
    said = []
    for opening in range(5):
        journal = Journal(tmp_path / "day.journal")
        stage = open_stage(f"10:{10 + opening}", journal=journal)
        said.append(stage.running.asked("key").text)
        assert stage.state.said == tuple(said)
        journal.close()
    assert len(set(said)) == 5


def test_a_late_start_that_would_reach_into_a_quiet_time_is_given_up_with_an_apology(open_stage):
    stage = open_stage()
    stage.clock.on_noticed = stage.running.noticed
    stage.turn("10:50")
    assert "is new" in stage.running.tell(["add", "11:05", "Bells"])
    stage.turn("11:04:50")
    stage.running.asked("key")
    stage.clock.sleep_for(timedelta(seconds=50))  # the talk next door begins at 11:10
    assert stage.state.playing is None
    missed = [e for e in stage.journal if isinstance(e, happened.Missed)]
    assert [e.why for e in missed] == ["too late for the rules"]
    promise = next(p for p in stage.state.promises if p.told == stage.at("11:05"))
    assert promise.outcome is Outcome.CHANGED
    assert promise.apologised == 1
    assert promise.moved_to == stage.at("11:30")


def test_after_a_late_start_the_rest_still_keeps_the_cap(open_stage):
    stage = open_stage()
    stage.clock.on_noticed = stage.running.noticed
    stage.turn("10:40")
    assert "is new" in stage.running.tell(["add", "10:45", "Bells"])
    stage.turn("10:59:50")
    # Of 10:45, 11:00, 11:30 and 11:45 three start within any hour, if each comes in time.
    assert "is new" in stage.running.tell(["add", "11:45", "Bells"])
    before = [f"{slot.starts:%H:%M}" for slot in stage.state.upcoming]
    stage.clock.sleep_for(timedelta(seconds=40))
    assert stage.state.playing.piece == "Dance"
    stage.turn("13:00")
    found = {rule for rule, _ in breaks(stage.state.day, performed(stage.state))}
    assert found <= {"grid"}, before
