"""The hall speaks to a running day: plans, quiet, others' times and caps, promises kept first."""

from __future__ import annotations

import threading
from datetime import timedelta

import pytest

from showtime.fair import Performance, QuietInterval, Span, budgets
from showtime.fair.hall import Handout
from showtime.live import DayState, Outcome, Stage, fold
from showtime.live import events as happened
from showtime.live.hall import PretendedHall, TimesTaken
from showtime.live.keeper.mend import breaks, performed
from showtime.wording import Kind

CART = "a performance at The Lantern Cart"


def events(stage, kind):
    return [event for event in stage.journal if isinstance(event, kind)]


def coming(stage):
    return [f"{slot.starts:%H:%M}" for slot in stage.state.upcoming]


def outcomes(stage):
    return {f"{p.told:%H:%M}": p.outcome for p in stage.state.promises}


def busy(stage, begins, ends, why=CART):
    return QuietInterval(why, Span(stage.at(begins), stage.at(ends)))


@pytest.fixture
def handed(short_day, at):
    """A plan for the short day at these times, with others at those."""

    def plan(*starts, quiet=(), piece="Bells"):
        performances = tuple(Performance(at(start), short_day.piece(piece)) for start in starts)
        return Handout("Stall", short_day.date, performances, tuple(quiet))

    return plan


def promise(stage, clock):
    """Somebody asks then, and is told the next start."""
    stage.turn(clock)
    return stage.running.asked("key").told


# What is handed


def test_a_handed_plan_is_followed_from_then_on(open_stage, handed):
    stage = open_stage("10:05")
    stage.hall.hand_plan(handed("10:45", "11:40", "12:35"))
    assert coming(stage) == ["10:45", "11:40", "12:35"]
    stage.turn("13:00")
    assert [f"{e.at:%H:%M}" for e in events(stage, happened.Started)] == ["10:45", "11:40", "12:35"]


def test_what_was_promised_stays_whatever_plan_is_handed(open_stage, handed):
    stage = open_stage()
    assert promise(stage, "10:10") == stage.at("10:30")
    stage.hall.hand_plan(handed("10:20", "10:35", "11:30"))
    assert coming(stage) == ["10:30", "11:30"]  # 10:20 and 10:35 are too near to it
    stage.turn("11:00")
    assert outcomes(stage)["10:30"] is Outcome.KEPT


def test_a_promise_is_moved_only_where_others_sound_and_the_reason_is_told(open_stage, handed):
    stage = open_stage()
    promise(stage, "10:10")
    stage.hall.hand_plan(handed("10:40", "11:30"))
    stage.hall.take_times(busy(stage, "10:28", "10:34"))
    (moved,) = events(stage, happened.PromiseMoved)
    assert (moved.told, moved.to) == (stage.at("10:30"), stage.at("10:40"))
    assert moved.why == CART
    said = [event.kind for event in events(stage, happened.Answered)]
    assert said == [Kind.NEXT, Kind.CHANGED]
    assert outcomes(stage) == {"10:30": Outcome.CHANGED, "10:40": Outcome.OPEN}


def test_a_plan_made_without_knowing_of_a_promise_does_not_take_its_time(open_stage, handed):
    stage = open_stage()
    promise(stage, "10:10")
    quiet = [busy(stage, "10:28", "10:34"), busy(stage, "10:58", "11:04")]
    stage.hall.hand_plan(handed("11:30", quiet=quiet))
    assert coming(stage) == ["10:30", "11:30"]
    assert "10:35" not in stage.running.tell(["add", "10:36"])
    assert CART in stage.running.tell(["set", "11:00", "Bells"])
    stage.turn("10:36")
    assert outcomes(stage)["10:30"] is Outcome.KEPT


def test_for_a_moment_after_a_plan_others_have_their_old_times_and_then_it_is_whole(
    open_stage, handed
):
    stage = open_stage("10:05")
    stage.hall.take_times(busy(stage, "10:44", "10:50"))
    stage.hall.hand_plan(handed("10:45", "11:40", "12:30"))
    assert coming(stage) == ["11:40", "12:30"]
    stage.hall.take_times(busy(stage, "10:20", "10:26"))
    assert coming(stage) == ["10:45", "11:40", "12:30"]


def test_a_start_that_was_called_off_does_not_come_back_when_others_times_are_free(
    open_stage, handed
):
    stage = open_stage("10:05")
    stage.hall.hand_plan(handed("10:45", "11:40"))
    stage.running.tell(["off", "10:45"])
    stage.hall.take_times(busy(stage, "12:20", "12:26"))
    stage.hall.take_times()
    assert coming(stage) == ["11:40"]


def test_cut_off_from_the_hall_others_have_the_times_of_the_last_plan(open_stage, handed):
    stage = open_stage("10:05")
    stage.hall.hand_plan(handed("11:40", quiet=[busy(stage, "10:44", "10:50")]))
    stage.hall.take_times()
    assert not stage.state.hall.others
    stage.running.neighbours.says(TimesTaken(()))
    assert not stage.state.hall.others
    stage.hall.go_silent()
    stage.running.neighbours.says(TimesTaken(()))  # nobody is heard any more
    assert CART in stage.running.tell(["add", "10:45"])


def test_what_the_keeper_added_comes_before_the_handed_plan(open_stage, handed):
    stage = open_stage("10:05")
    stage.running.tell(["add", "10:50"])
    stage.hall.hand_plan(handed("10:45", "12:35"))
    assert coming(stage) == ["10:50", "12:35"]


def test_what_the_keeper_called_off_does_not_come_back_with_a_plan(open_stage, handed):
    stage = open_stage("10:05")
    stage.running.tell(["off", "10:30"])
    stage.hall.hand_plan(handed("10:30", "11:30"))
    assert coming(stage) == ["11:30"]


def test_a_keeper_who_is_late_is_late_by_any_plan(open_stage, handed):
    stage = open_stage("10:05")
    stage.running.tell(["late", "20"])  # the 10:30 comes at 10:50
    stage.hall.hand_plan(handed("10:15", "11:35"))
    assert "10:15" not in coming(stage)


def test_a_handed_plan_cannot_break_the_stalls_own_rules(open_stage, handed):
    stage = open_stage("10:05")
    stage.hall.hand_plan(handed("10:30", "10:33", "11:15", "12:58"))
    assert coming(stage) == ["10:30"]


@pytest.mark.parametrize("of", [{"stall": "The Lantern Cart"}, {"date": timedelta(days=1)}])
def test_what_is_handed_to_another_stall_or_for_another_day_is_let_pass(open_stage, handed, of):
    stage = open_stage("10:05")
    plan = handed("10:45")
    stall, date = of.get("stall", "Stall"), plan.date + of.get("date", timedelta(0))
    before = stage.state
    stage.hall.hand_plan(Handout(stall, date, plan.performances))
    assert stage.state is before


def test_a_piece_that_nobody_knows_is_left_out_of_a_handed_plan(open_stage, handed):
    from showtime.fair import Piece

    stage = open_stage("10:05")
    jig = Performance(stage.at("10:45"), Piece("Jig", timedelta(minutes=3)))
    plan = handed("11:30")
    stage.hall.hand_plan(Handout("Stall", plan.date, (jig, *plan.performances)))
    assert coming(stage) == ["11:30"]


# The same again


def test_the_same_word_again_records_nothing(open_stage, handed):
    stage = open_stage("10:05")
    stage.hall.hand_plan(handed("10:45", "11:40", quiet=[busy(stage, "10:20", "10:26")]))
    stage.hall.take_times(busy(stage, "10:20", "10:26"), busy(stage, "12:00", "12:05"))
    stage.hall.call_quiet("speech", Span(stage.at("12:30"), stage.at("12:40")), "a speech")
    stage.hall.set_caps(budgets.Performances(2, timedelta(hours=1)))
    for clock in ("10:05", "10:22", "10:40", "10:47", "12:32", "12:59"):
        stage.turn(clock)
        before = stage.state
        stage.hall.repeat()
        stage.hall.repeat()
        assert stage.state is before, clock


def test_a_plan_that_comes_twice_does_not_undo_what_was_decided_since(open_stage, handed):
    stage = open_stage("10:05")
    stage.hall.hand_plan(handed("10:45", "11:40"))
    stage.running.tell(["off", "11:40"])
    stage.running.tell(["add", "12:30"])
    stage.hall.repeat()
    assert coming(stage) == ["10:45", "12:30"]


def test_words_in_any_order_come_to_the_same(open_stage, handed):
    ends = set()
    for order in ((0, 1, 2), (2, 1, 0), (1, 0, 2), (1, 2, 0)):
        stage = open_stage("10:05")
        words = [
            lambda s=stage: s.hall.hand_plan(handed("10:45", "11:40", "12:30")),
            lambda s=stage: s.hall.call_quiet("a", Span(s.at("11:38"), s.at("11:43")), "a speech"),
            lambda s=stage: s.hall.set_caps(budgets.Performances(1, timedelta(hours=1))),
        ]
        for number in order:
            words[number]()
        ends.add(tuple(coming(stage)))
    assert ends == {("10:45", "12:30")}


# Others' times


def test_a_start_gives_way_to_others_times_before_anybody_is_told_of_it(open_stage):
    stage = open_stage("10:05")
    stage.hall.take_times(busy(stage, "10:28", "10:34"))
    assert coming(stage) == ["11:00", "11:30", "12:00", "12:30"]
    assert stage.running.asked("key").told == stage.at("11:00")


def test_others_times_never_stop_what_plays(open_stage):
    stage = open_stage()
    stage.turn("10:31")
    stage.hall.take_times(busy(stage, "10:30", "10:40"))
    stage.turn("10:36")
    (finished,) = events(stage, happened.Finished)
    assert finished.at == stage.at("10:35")
    assert not breaks(stage.state.day, performed(stage.state))


def test_times_that_are_taken_no_more_are_free_again(open_stage):
    stage = open_stage("10:05")
    stage.hall.take_times(busy(stage, "10:28", "10:34"))
    stage.hall.take_times()
    assert "Bells" in stage.running.would(["add", "10:30", "Bells"])
    assert not stage.state.hall.others
    assert stage.state.day.quiet == stage.day.quiet


def test_while_a_neighbour_plays_a_question_is_answered_softly(open_stage):
    stage = open_stage("10:05")
    stage.hall.take_times(busy(stage, "10:10", "10:16"))
    stage.turn("10:12")
    assert stage.running.asked("key").spoken == "softly"


def test_no_crowd_is_called_while_a_neighbour_plays(open_stage):
    stage = open_stage("10:05")
    stage.hall.take_times(busy(stage, "10:24", "10:29"))
    stage.turn("10:29")
    assert not events(stage, happened.Answered)


def test_seconds_by_which_a_neighbour_is_late_move_no_start(open_stage):
    stage = open_stage()
    promise(stage, "10:10")
    stage.hall.take_times(busy(stage, "10:25", "10:30:04"))
    assert coming(stage)[0] == "10:30"
    assert not events(stage, happened.PromiseMoved)


def test_the_keeper_is_told_who_sounds_and_until_when(open_stage):
    stage = open_stage("10:05")
    stage.hall.take_times(busy(stage, "10:00", "10:12"))
    said = stage.running.tell(["play", "Bells"])
    assert said.startswith(f"Bells not now: {CART} until 10:12. Allowed at 10:15.")
    stage.turn("10:13")
    stage.running.tell(["play", "Bells"])
    assert stage.state.playing is not None


def test_a_time_that_others_have_taken_cannot_be_set_and_the_nearest_is_offered(open_stage):
    stage = open_stage("10:05")
    stage.hall.take_times(busy(stage, "10:38", "10:44"))
    said = stage.running.tell(["set", "10:40", "Bells"])
    assert CART in said and "Allowed: 10:" in said
    refused = stage.state.refused
    assert refused.rules == ("quiet",)
    assert refused.why == CART


# Quiet called by the organiser


def test_quiet_in_the_hall_stops_what_plays_at_once(open_stage):
    stage = open_stage()
    stage.turn("10:32")
    stage.hall.call_quiet("1", Span(stage.at("10:32"), stage.at("10:50")), "the mayor speaks")
    assert stage.figure.told[-1] == "stop"
    assert stage.state.stage is Stage.WAITING
    (stopped,) = events(stage, happened.Stopped)
    assert stopped.why == "the mayor speaks"
    assert stage.running.asked("key").spoken == "silent"
    assert not breaks(stage.state.day, performed(stage.state)) - {("piece", stage.at("10:30"))}


def test_quiet_that_is_called_in_time_stops_what_plays_when_it_begins(open_stage):
    stage = open_stage()
    stage.turn("10:31")
    stage.hall.call_quiet("1", Span(stage.at("10:33"), stage.at("10:50")), "the mayor speaks")
    assert stage.state.stage is Stage.PLAYING
    stage.turn("10:33")
    (stopped,) = events(stage, happened.Stopped)
    assert stopped.at == stage.at("10:33")


def test_promised_starts_in_a_called_quiet_are_moved_with_an_apology_once_it_is_over(open_stage):
    stage = open_stage()
    promise(stage, "10:10")
    stage.hall.call_quiet("1", Span(stage.at("10:25"), stage.at("10:45")), "the mayor speaks")
    assert outcomes(stage)["10:30"] is Outcome.CHANGED
    stage.turn("12:59")
    assert Outcome.BROKEN not in outcomes(stage).values()
    kinds = [event.kind for event in events(stage, happened.Answered)]
    assert Kind.CHANGED in kinds


def test_a_call_can_be_made_longer_shorter_and_lifted(open_stage):
    stage = open_stage("10:05")
    hall, at = stage.hall, stage.at
    hall.call_quiet("1", Span(at("10:05"), at("10:20")), "a speech")
    hall.call_quiet("1", Span(at("10:05"), at("10:40")), "a long speech")
    assert [q.why for q in stage.state.day.quiet if q not in stage.day.quiet] == ["a long speech"]
    assert "10:30" not in coming(stage)
    hall.call_quiet("1", Span(at("10:05"), at("10:10")), "a speech")
    stage.turn("10:07")
    hall.lift_quiet("1")
    assert stage.state.day.quiet_at(at("10:08")) is None
    assert stage.state.day.quiet_at(at("10:06")) is not None
    before = stage.state
    hall.lift_quiet("1")
    hall.lift_quiet("never called")
    assert stage.state is before


def test_a_call_that_is_over_before_it_arrives_changes_nothing(open_stage):
    stage = open_stage()
    stage.turn("10:31")
    before = stage.state
    stage.hall.call_quiet("1", Span(stage.at("10:10"), stage.at("10:20")), "a speech")
    assert stage.state is before


def test_when_quiet_is_lifted_the_rest_is_planned_anew(open_stage):
    asked = []
    stage = open_stage("10:05", replanner=lambda state, now: asked.append(now))
    stage.hall.call_quiet("1", Span(stage.at("10:40"), stage.at("12:59")), "a speech")
    stage.turn("10:20")
    asked.clear()
    stage.hall.lift_quiet("1")
    assert asked == [stage.at("10:20")]


# Caps


def test_new_caps_hold_for_what_is_to_come(open_stage):
    stage = open_stage()
    promise(stage, "10:10")
    stage.hall.set_caps(budgets.Performances(1, timedelta(hours=1), because="the fair"))
    assert coming(stage) == ["10:30", "11:30", "12:30"]
    assert "the fair: at most 1 performance" in stage.running.tell(["add", "10:45", "Bells"])
    stage.hall.set_caps()
    assert stage.state.day.budgets == stage.day.budgets


def test_caps_of_every_kind_come_back_from_the_journal_as_they_were(open_stage):
    caps = (
        budgets.Performances(2, timedelta(hours=1), because="the fair"),
        budgets.Performances(9),
        budgets.Sounding(timedelta(minutes=12), timedelta(hours=1)),
        budgets.AtMost("Dance", 1),
        budgets.Noise(60.0, budgets.Neighbour("The Lantern Cart", 3.0), timedelta(hours=1)),
        budgets.Noise(55.5, budgets.Neighbour("Cart", 2.5), timedelta(hours=3), True),
    )
    stage = open_stage("10:05")
    stage.hall.set_caps(*caps, budgets.Battery(10.0, 0.2, 0.4))
    assert stage.state.hall.budgets == caps  # a battery is the stall's own affair
    assert fold(DayState(stage.day, timedelta(seconds=60)), stage.journal) == stage.state


# At any time


def test_words_that_came_before_the_day_began_hold_from_its_beginning(open_stage, handed):
    hall = PretendedHall()
    hall.hand_plan(handed("10:45", "12:30"))
    stage = open_stage("09:50", hall=hall)
    assert coming(stage) == ["10:45", "12:30"]


def test_while_the_day_is_held_words_are_taken_in_and_nothing_moves(open_stage, handed):
    stage = open_stage("10:05")
    stage.running.tell(["hold"])
    stage.hall.hand_plan(handed("10:20", "10:45"))
    stage.turn("10:40")
    assert not events(stage, happened.Started)
    stage.running.tell(["release"])
    stage.turn("10:50")
    assert [f"{e.at:%H:%M}" for e in events(stage, happened.Started)] == ["10:45"]


def test_after_the_end_nobody_listens(open_stage, handed):
    stage = open_stage("10:05")
    stage.running.end()
    before = stage.state
    stage.hall.hand_plan(handed("10:45"))
    assert stage.state is before


def test_after_a_power_cut_quiet_caps_and_times_are_known_before_the_hall_is_reached(
    open_stage, handed
):
    stage = open_stage()
    stage.hall.hand_plan(handed("10:45", "11:40", "12:35"))
    stage.hall.take_times(busy(stage, "11:00", "11:05"))
    stage.hall.call_quiet("1", Span(stage.at("12:00"), stage.at("12:20")), "a speech")
    stage.hall.set_caps(budgets.Performances(1, timedelta(hours=1)))
    promise(stage, "10:40")
    silent = PretendedHall()
    silent.go_silent()
    again = open_stage("10:42", journal=stage.journal, hall=silent)
    assert again.state.hall == stage.state.hall
    assert again.state.day == stage.state.day
    again.running.tell(["release"])
    again.turn("12:59")
    assert [f"{e.at:%H:%M}" for e in events(again, happened.Started)] == ["10:45", "12:35"]
    assert outcomes(again)["10:45"] is Outcome.KEPT


def test_an_order_taken_back_leaves_what_the_hall_said_meanwhile(open_stage):
    stage = open_stage("10:05")
    stage.running.tell(["late", "20"])
    stage.hall.call_quiet("1", Span(stage.at("10:25"), stage.at("10:50")), "a speech")
    stage.running.tell(["undo"])
    assert stage.state.hall.hush("1") is not None
    assert not breaks(stage.state.day, [Performance(s.starts, stage.day.piece(s.piece))
                                        for s in stage.state.upcoming])  # fmt: skip
    assert "10:30" not in coming(stage)


def test_an_order_taken_back_leaves_the_plan_that_was_handed_meanwhile(open_stage, handed):
    stage = open_stage("10:05")
    stage.running.tell(["off", "10:30"])
    stage.hall.hand_plan(handed("10:30", "11:40"))
    assert coming(stage) == ["11:40"]
    stage.running.tell(["undo"])
    assert coming(stage) == ["10:30", "11:40"]


def test_a_clock_that_is_set_back_hears_again_what_lies_ahead(open_stage, handed):
    stage = open_stage("10:05")
    noticed = stage.clock.steady.set_to(stage.at("12:20"))
    stage.running.clock_set(noticed, "clock 12:20")
    stage.hall.hand_plan(handed("10:45", "12:35", quiet=[busy(stage, "10:20", "10:30")]))
    assert coming(stage) == ["12:35"]
    stage.running.clock_set(stage.clock.steady.set_to(stage.at("10:06")), "clock 10:06")
    assert coming(stage) == ["10:45", "12:35"]
    assert [hush.end for hush in stage.state.hall.others] == [stage.at("10:30")]


def test_words_from_many_threads_are_taken_in_turn(open_stage):
    stage = open_stage("10:05")

    def neighbour(number):
        for minute in range(10, 20):
            stage.hall.take_times(busy(stage, f"10:{minute}", f"10:{minute + 1}", f"no {number}"))

    threads = [threading.Thread(target=neighbour, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert fold(DayState(stage.day, timedelta(seconds=60)), stage.journal) == stage.state
    assert len(stage.state.hall.others) == 1


def test_an_order_that_is_given_while_a_word_is_decided_on_is_not_forgotten(open_stage):
    class Interrupted(PretendedHall):
        """While the first word is decided on, the keeper calls a start off."""

        order = None

        @property
        def trouble(self):
            order, self.order = self.order, None
            if order:
                stage.running.tell(order)
            return ""

        @trouble.setter
        def trouble(self, why):
            pass

    hall = Interrupted()
    stage = open_stage("10:05", hall=hall)
    hall.order = ["off", "10:30"]
    stage.running.neighbours.says(TimesTaken((busy(stage, "11:00", "11:05"),)))
    assert coming(stage) == ["11:30", "12:00", "12:30"]
    assert stage.state.hall.others


def test_the_hall_sees_every_change_and_each_look(open_stage):
    stage = open_stage("10:05")
    assert stage.hall.seen is stage.state
    stage.running.tell(["skip"])
    assert stage.hall.seen is stage.state
    stage.hall.seen = None
    stage.running.neighbours.look()
    assert stage.hall.seen is stage.state
