"""The link to the controller: what is said arrives once, a stop comes first, silence is noticed."""

from __future__ import annotations

import random

import pytest

from showtime.figure import Link, wire
from showtime.live.reports import Began, Ended, Failed, Readings, Well


def test_the_controller_is_greeted_and_says_that_all_is_well(bare_workshop):
    bare_workshop.settle()
    assert bare_workshop.reports == [Well()]


def test_a_piece_is_played_to_its_end_and_both_are_told(workshop):
    workshop.play(seconds=30)
    workshop.spend(29)
    assert workshop.told(Began) == [Began("Bells")]
    assert not workshop.told(Ended)
    workshop.spend(2)
    assert workshop.told(Ended) == [Ended("Bells")]
    assert workshop.deeds() == ["played", "ended"]


def test_stop_ends_the_motion_at_once(workshop):
    workshop.play()
    workshop.spend(5)
    workshop.link.stop()
    workshop.settle()
    assert workshop.deeds() == ["played", "stopped"]
    assert not workshop.controller.moving


def test_stop_is_the_next_thing_on_the_wire_however_much_waits(workshop):
    workshop.controller.go_deaf()
    workshop.follow()
    workshop.play()
    workshop.link.say(["when", "half10"])
    sent = len(workshop.ours.sent)
    workshop.link.stop()
    assert b" stop " in workshop.ours.sent[sent]
    workshop.controller.go_deaf(False)
    workshop.spend(2)
    assert not workshop.controller.moving
    assert "said" not in workshop.deeds()
    assert workshop.controller.known["plan"] == ("2",)


def test_stop_is_repeated_until_it_is_acknowledged(workshop):
    workshop.play()
    workshop.spend(1)
    workshop.theirs.passes = lambda data: b"" if b" done " in data else data
    workshop.link.stop()
    workshop.spend(2)
    stops = [data for data in workshop.ours.sent if b" stop " in data]
    assert len(stops) >= 3
    assert len(set(stops)) == 1
    assert workshop.deeds() == ["played", "stopped"]


def test_a_start_right_after_a_stop_is_not_stopped_by_its_repeats(workshop):
    workshop.play()
    workshop.spend(1)
    workshop.theirs.passes = lambda data: b"" if b" done " in data else data
    workshop.link.stop()
    workshop.spend(0.3)
    workshop.play()
    workshop.spend(0.3)
    assert workshop.deeds() == ["played", "stopped"]
    workshop.theirs.passes = lambda data: data
    workshop.spend(5)
    assert workshop.deeds() == ["played", "stopped", "played"]
    assert workshop.controller.moving


@pytest.mark.parametrize(("share", "least"), [(0.1, 18), (0.3, 12)])
def test_over_a_noisy_line_everything_is_done_once(workshop, share, least):
    luck = random.Random(7)

    def noise(data: bytes) -> bytes:
        if luck.random() < share:
            spoilt = bytearray(data)
            spoilt[luck.randrange(len(spoilt))] ^= 1 << luck.randrange(8)
            return bytes(spoilt)
        return data

    workshop.ours.passes = workshop.theirs.passes = noise
    played = 0
    for _ in range(20):
        if not workshop.link.bonded:
            workshop.spend(5)
        before = workshop.deeds().count("played")
        workshop.play(seconds=2)
        workshop.spend(6)
        now = workshop.deeds().count("played") - before
        assert now <= 1
        played += now
    assert played >= least


def test_a_controller_that_says_everything_twice_is_heard_once(workshop):
    workshop.controller.stutter(2)
    workshop.play(seconds=3)
    workshop.spend(5)
    assert workshop.told(Began) == [Began("Bells")]
    assert workshop.told(Ended) == [Ended("Bells")]
    assert not workshop.told(Failed)


def test_a_wire_that_repeats_everything_moves_nothing_twice(workshop):
    workshop.ours.passes = lambda data: data * 3
    workshop.play(seconds=1)
    workshop.spend(3)
    assert workshop.deeds() == ["played", "ended"]


@pytest.mark.parametrize("late", [0.5, 1.0, 2.0])
def test_a_controller_that_answers_late_is_still_heard(workshop, late):
    workshop.controller.freeze()
    workshop.play(seconds=5)
    workshop.spend(late)
    workshop.controller.thaw()
    workshop.spend(8)
    assert workshop.deeds() == ["played", "ended"]
    assert workshop.told(Ended)
    assert not workshop.told(Failed)


def test_a_controller_that_hung_for_too_long_does_nothing_of_what_waited(workshop):
    workshop.controller.freeze()
    workshop.play()
    workshop.spend(3.5)
    assert [failed.lasting for failed in workshop.told(Failed)] == [True]
    workshop.controller.thaw()
    workshop.spend(5)
    assert "played" not in workshop.deeds()
    assert workshop.reports[-1] == Well()


def test_a_controller_that_never_answers_is_a_lost_link_even_while_it_beats(workshop):
    workshop.theirs.passes = lambda data: b"" if b" done " in data else data
    workshop.play()
    workshop.spend(4)
    (failed, *_) = workshop.told(Failed)
    assert "does not answer" in failed.why


def test_a_controller_that_takes_a_piece_and_does_nothing_is_found_out(workshop):
    workshop.theirs.passes = lambda data: b"" if b" started " in data else data
    workshop.play()
    workshop.spend(7)
    assert any("did not begin" in failed.why for failed in workshop.told(Failed))
    assert not workshop.controller.moving


@pytest.mark.parametrize("break_it", ["deaf", "mute", "pulled"])
def test_however_the_link_breaks_the_figure_stops_by_itself_and_the_day_is_told(workshop, break_it):
    workshop.play()
    workshop.spend(5)
    begun = workshop.time
    match break_it:
        case "deaf":
            workshop.controller.go_deaf()
        case "mute":
            workshop.controller.go_mute()
        case _:
            workshop.pull()
    workshop.spend(7)
    (stopped,) = [deed for deed in workshop.controller.deeds if deed.what == "stopped"]
    assert stopped.at - begun <= 2 * workshop.pace.silence + 0.2
    (failed,) = workshop.told(Failed)
    assert failed.lasting
    assert "not there" in failed.why
    match break_it:
        case "deaf":
            workshop.controller.go_deaf(False)
        case "mute":
            workshop.controller.go_mute(False)
        case _:
            workshop.put_back()
    workshop.spend(5)
    assert workshop.reports[-1] == Well()
    assert workshop.deeds() == ["played", "stopped"]


def test_a_missing_controller_is_told_once_after_some_patience(bare_workshop):
    bare_workshop.pull()
    bare_workshop.spend(9)
    assert bare_workshop.reports == []
    bare_workshop.spend(30)
    (failed,) = bare_workshop.reports
    assert "no such line" in failed.why


def test_without_a_controller_a_piece_that_is_due_fails_at_once(bare_workshop):
    bare_workshop.pull()
    bare_workshop.settle()
    bare_workshop.play()
    bare_workshop.settle()
    (failed,) = bare_workshop.reports
    assert not failed.begun
    bare_workshop.put_back()
    bare_workshop.spend(5)
    assert bare_workshop.deeds() == []


def test_faults_are_told_and_stop_the_figure_and_so_is_their_end(workshop):
    for verb, words in (("jam", "jammed"), ("overheat", "hot"), ("drain", "low")):
        workshop.play()
        workshop.spend(2)
        getattr(workshop.controller, verb)()
        workshop.settle()
        assert words in workshop.reports[-1].why
        assert not workshop.controller.moving
        workshop.controller.mend()
        workshop.settle()
        assert workshop.reports[-1] == Well()


def test_the_stop_button_on_the_figure_is_told_in_its_own_words(workshop):
    workshop.controller.press_stop()
    workshop.settle()
    assert "stop button" in workshop.reports[-1].why


def test_a_faulty_figure_refuses_to_play(workshop):
    workshop.controller.jam()
    workshop.settle()
    workshop.play()
    workshop.settle()
    assert "refuses (fault jammed)" in workshop.reports[-1].why
    assert workshop.deeds() == []


def test_a_fault_outlives_the_link(workshop):
    workshop.controller.overheat()
    workshop.settle()
    workshop.pull()
    workshop.spend(5)
    workshop.put_back()
    workshop.spend(5)
    assert "too hot" in workshop.reports[-1].why
    assert Well() not in workshop.reports


def test_who_begins_to_listen_hears_what_is_wrong(workshop):
    workshop.controller.jam()
    workshop.settle()
    before = len(workshop.reports)
    workshop.link.tell_again()
    workshop.settle()
    assert workshop.reports[before:] == workshop.reports[before - 1 : before]


def test_power_lost_in_mid_piece_is_noticed_and_nothing_goes_on_by_itself(workshop):
    workshop.play()
    workshop.spend(2)
    workshop.controller.lose_power()
    workshop.spend(5)
    assert workshop.told(Failed)
    assert workshop.reports[-1] == Well()
    assert not workshop.controller.moving


def test_it_knows_the_day_and_the_time_also_after_it_was_away(workshop):
    workshop.follow()
    workshop.spend(60)
    workshop.controller.lose_power()
    workshop.spend(10)
    known = workshop.controller.known
    assert known["piece 2"] == ("600", "Dance")
    assert known["start 1"] == ("2027-02-13T10:30:00", "1")
    assert known["plan"] == ("2",)
    assert known["clock"][0].startswith("2027-02-13T10:01:0")


def test_of_plans_that_follow_fast_only_the_newest_is_told(workshop):
    workshop.controller.freeze()
    for _ in range(30):
        workshop.follow()
    workshop.controller.thaw()
    sent = len(workshop.ours.sent)
    workshop.spend(1)
    starts = [data for data in workshop.ours.sent[sent:] if b" start " in data]
    assert len(starts) == 2
    assert workshop.controller.known["start 2"] == ("2027-02-13T11:00:00", "2")


def test_readings_come_through_and_nonsense_does_not(workshop):
    workshop.controller.celsius, workshop.controller.amperes = 31.25, 2.4
    workshop.spend(11)
    assert workshop.reports[-1] == Readings(celsius=31.25, amperes=2.4)
    workshop.reports.clear()
    workshop.controller.celsius, workshop.controller.amperes = -127.0, None
    workshop.spend(25)
    assert workshop.reports == []


def test_half_a_line_and_ten_thousand_bytes_without_an_end_hold_nothing_up(workshop):
    workshop.controller.mutter(b"1 7 fini")
    workshop.controller.mutter(b"x" * 10_000)
    workshop.ours.inbox.append(b"\x00\xff" * 5_000)
    workshop.play(seconds=1)
    workshop.spend(3)
    assert workshop.deeds() == ["played", "ended"]
    assert not workshop.told(Failed)


def test_a_flood_of_garbage_is_no_word_of_the_controller(workshop):
    luck = random.Random(3)
    workshop.controller.go_mute()
    for _ in range(70):
        workshop.ours.inbox.append(luck.randbytes(400))
        workshop.time += 0.05
        workshop.reports += workshop.link.step()
    assert workshop.told(Failed)


def test_a_line_that_only_echoes_is_no_controller(bare_workshop):
    bare_workshop.ours.other = bare_workshop.ours
    bare_workshop.spend(15)
    assert not bare_workshop.link.bonded
    assert bare_workshop.told(Failed)


def test_a_controller_that_died_on_a_line_that_echoes_is_missed(workshop):
    workshop.play()
    workshop.spend(1)
    workshop.ours.other = workshop.ours
    workshop.controller.go_mute()
    workshop.spend(4)
    (failed,) = workshop.told(Failed)
    assert failed.lasting


def test_a_program_that_was_started_again_finds_the_figure_at_rest(workshop):
    workshop.play()
    workshop.spend(1)
    assert workshop.controller.moving
    workshop.link = Link("the line", workshop.opened, lambda: workshop.time, workshop.pace, 77)
    workshop.settle()
    assert workshop.link.bonded
    assert workshop.deeds() == ["played", "stopped"]


def test_closing_the_program_stops_the_figure(workshop):
    workshop.play()
    workshop.spend(2)
    workshop.link.close()
    workshop.controller.step()
    assert not workshop.controller.moving


def test_numbers_go_round_and_nothing_is_lost(workshop):
    for _ in range(wire.LAST_NUMBER + 50):
        workshop.link.say(["a"])
        workshop.settle()
    assert workshop.deeds().count("said") == wire.LAST_NUMBER + 50
