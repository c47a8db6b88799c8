"""From what a device tells to what the stall does: presses, steps, dial, knobs, people."""

from __future__ import annotations

from datetime import timedelta

import pytest

from showtime.fair.wiring import Button, Clicker, Deeds, Dial, Knobs, Port, Presence, Sets, Wire
from showtime.triggers.dialling import Dialling
from showtime.triggers.gathering import Gathering
from showtime.triggers.pressing import Pressing
from showtime.triggers.signals import AT_START, Contact, Edge, Gone, Pressed, Turned
from showtime.triggers.turning import Turning

MS = 1000
SECOND = 1_000_000


class Hand:
    """Does things to a receiver, in a time of its own."""

    def __init__(self, receiver, host):
        self.receiver, self.host = receiver, host

    def waits(self, length):
        """As the stall's ticking does it: only while the receiver wants to know."""
        end = self.host.time + length
        while self.host.time < end:
            pace = self.receiver.pace
            if pace is None:
                self.host.time = end
                return
            self.host.time = min(end, self.host.time + round(pace * SECOND))
            self.receiver.tick(self.host.time)

    def edge(self, contact, closed, key=""):
        self.receiver.heard(Edge(contact, closed, self.host.time, key))

    def presses(self, length=100 * MS, key=""):
        self.edge(Contact.BUTTON, True, key)
        self.waits(length)
        self.edge(Contact.BUTTON, False, key)
        self.waits(50 * MS)

    def dials(self, digits, rate=10, share=0.63):
        for digit in digits:
            for _ in range(int(digit) or 10):
                self.edge(Contact.PULSE, False)
                self.waits(round(share * SECOND / rate))
                self.edge(Contact.PULSE, True)
                self.waits(round((1 - share) * SECOND / rate))
            self.waits(800 * MS)

    def turns(self, hour, minute, length=2 * SECOND):
        end = self.host.time + length
        while self.host.time < end:
            self.receiver.heard(Turned(hour, minute, self.host.time))
            self.waits(25 * MS)


def button(host, of=None, **deeds):
    split = {key: tuple(words.split()) for key, words in deeds.items() if key != "sets"}
    if "sets" in deeds:
        split["sets"] = deeds["sets"]
    return Hand(Pressing(Button(of or Wire("17"), Deeds(**split)), "pin 17", host), host)


def test_a_press_that_can_mean_but_one_thing_is_done_as_the_button_goes_down(host):
    hand = button(host, press="ask")
    hand.edge(Contact.BUTTON, True)
    assert host.done == ["ask"]


def test_holding_is_immediate(host):
    hand = button(host, press="hold")
    hand.edge(Contact.BUTTON, True)
    assert host.done == ["hold"]


def test_short_long_and_double_presses_are_three_orders(host):
    hand = button(host, press="ask", long="hold", double="late 5")
    hand.presses()
    hand.waits(SECOND)
    hand.presses(SECOND)
    hand.presses()
    hand.presses()
    hand.waits(SECOND)
    assert host.done == ["ask", "hold", "late 5"]


def test_a_long_press_is_done_while_it_is_still_held(host):
    hand = button(host, press="ask", long="hold")
    hand.edge(Contact.BUTTON, True)
    hand.waits(700 * MS)
    assert host.done == ["hold"]


def test_a_line_that_tells_whole_presses_can_double_them(host):
    hand = button(host, Port("/dev/x"), press="ask", double="skip")
    hand.receiver.heard(Pressed(host.time))
    hand.waits(200 * MS)
    hand.receiver.heard(Pressed(host.time))
    hand.waits(SECOND)
    assert host.done == ["skip"]


def test_pulled_out_in_mid_press_is_let_go(host):
    hand = button(host, Clicker("Presenter"), press="ask", long="hold")
    hand.edge(Contact.BUTTON, True)
    hand.waits(100 * MS)
    hand.receiver.heard(Gone(host.time))
    hand.waits(5 * SECOND)
    assert host.done == ["ask"]
    hand.presses(SECOND)
    assert host.done == ["ask", "hold"]


def test_a_button_that_is_jammed_down_at_the_start_is_no_press(host):
    hand = button(host, press="ask", long="hold")
    hand.edge(Contact.BUTTON, True, AT_START)
    hand.waits(5 * SECOND)
    hand.edge(Contact.BUTTON, False)
    hand.waits(SECOND)
    assert host.done == []
    hand.presses()
    assert host.done == ["ask"]


def test_a_contact_that_chatters_is_pressed_once(host):
    hand = button(host, press="ask")
    for closed in (True, False, True, False, True):
        hand.edge(Contact.BUTTON, closed)
        hand.waits(1 * MS)
    hand.waits(SECOND)
    assert host.done == ["ask"]


def test_the_keys_of_one_remote_do_different_things(host):
    up = button(host, Clicker("AB", ("volumeup",)), press="ask")
    down = button(host, Clicker("AB", ("volumedown",)), press="hold")
    for key in ("volumedown", "volumeup", "mute"):
        up.presses(key=key)
        down.presses(key=key)
    assert host.done == ["hold", "ask"]


def test_one_button_steps_through_the_times_and_a_long_press_takes_one(host):
    hand = button(host, press="step", long="accept", sets=Sets.NEXT)
    hand.presses()
    hand.presses()
    hand.presses(SECOND)
    assert host.done == ["understood 14:00", "understood 14:30", "next 14:30"]


def test_a_step_that_is_left_alone_changes_nothing(host):
    hand = button(host, press="step", long="accept")
    hand.presses()
    hand.waits(60 * SECOND)
    hand.presses(SECOND)
    assert host.done == ["understood 14:00", "cancelled 14:00"]


def test_stepping_where_nothing_is_allowed_says_so(host):
    host.times = ()
    button(host, press="step", long="accept").presses()
    assert host.done == ["not caught"]


def test_one_more_press_takes_the_time_that_was_offered_and_the_next_one_asks_again(host):
    hand = button(host, press="ask")
    host.offered = True
    hand.presses()
    hand.presses()
    assert host.done == ["accepted", "ask"]


def test_a_long_press_takes_what_was_offered_too(host):
    hand = button(host, press="step", long="accept")
    host.offered = True
    hand.presses(SECOND)
    assert host.done == ["accepted"]


def test_holding_comes_before_any_offer(host):
    host.offered = True
    button(host, press="hold").presses()
    assert host.done == ["hold"]


@pytest.fixture
def dial(host):
    hand = Hand(Dialling(Dial(Wire("23"), sets=Sets.NEXT), host), host)
    hand.waits(5 * SECOND)
    return hand


def test_four_digits_are_a_time_that_is_spoken_back_and_then_counts(dial, host):
    dial.dials("1430")
    dial.waits(3 * SECOND)
    assert host.done == ["understood 14:30"]
    dial.waits(10 * SECOND)
    assert host.done == ["understood 14:30", "next 14:30"]


def test_three_digits_mean_the_half_of_the_day_that_is_open(dial, host):
    dial.dials("230")
    dial.waits(20 * SECOND)
    assert host.done == ["understood 14:30", "next 14:30"]


def test_any_digit_after_it_was_spoken_back_cancels(dial, host):
    dial.dials("1430")
    dial.waits(3 * SECOND)
    dial.dials("1")
    dial.waits(20 * SECOND)
    assert host.done == ["understood 14:30", "cancelled 14:30"]


def test_while_the_figure_still_speaks_nothing_counts(dial, host):
    dial.dials("1430")
    dial.waits(3 * SECOND)
    host.speaking = True
    dial.waits(60 * SECOND)
    assert host.done == ["understood 14:30"]
    host.speaking = False
    dial.waits(10 * SECOND)
    assert host.done[-1] == "next 14:30"


@pytest.mark.parametrize("rate", [4, 20])
def test_a_dial_that_runs_at_a_wrong_pace_is_not_caught(dial, host, rate):
    dial.dials("1430", rate=rate)
    dial.waits(20 * SECOND)
    assert host.done == ["not caught"]


def test_a_dial_that_is_pulled_out_in_mid_digit_is_never_a_time(dial, host):
    dial.dials("143")
    dial.edge(Contact.PULSE, False)
    dial.waits(30 * MS)
    dial.receiver.heard(Gone(host.time))
    dial.waits(3 * SECOND)
    dial.dials("0")
    dial.waits(20 * SECOND)
    assert set(host.done) == {"not caught"}


def test_edges_that_come_late_by_an_adapter_are_read_by_their_own_times(dial, host):
    """A line tells a train with its sender's times, up to 16 ms late and in bunches."""
    for digit in (10, 9, 3, 10):
        edges, at = [], host.time
        for _ in range(digit):
            edges += [(at, False), (at + 63 * MS, True)]
            at += 100 * MS
        for at, closed in edges:
            arrival = -(-at // (16 * MS)) * 16 * MS
            dial.waits(max(0, arrival - host.time))
            dial.receiver.heard(Edge(Contact.PULSE, closed, at))
        dial.waits(800 * MS)
    dial.waits(20 * SECOND)
    assert host.done == ["understood 09:30", "next 09:30"]


def test_an_edge_that_is_held_up_for_too_long_is_in_doubt_and_not_another_digit(dial, host):
    dial.edge(Contact.PULSE, False)
    dial.waits(500 * MS)
    dial.receiver.heard(Edge(Contact.PULSE, True, host.time - 440 * MS))
    dial.waits(20 * SECOND)
    assert host.done == ["not caught"]


def test_a_line_that_tells_the_off_normal_contact_is_read_by_it(dial, host):
    """The dial stands open for two seconds in each digit before it runs: cold fingers."""
    for digit in "1430":
        dial.edge(Contact.OFF_NORMAL, True)
        dial.waits(2 * SECOND)
        for _ in range(int(digit) or 10):
            dial.edge(Contact.PULSE, False)
            dial.waits(60 * MS)
            dial.edge(Contact.PULSE, True)
            dial.waits(40 * MS)
        dial.waits(200 * MS)
        dial.edge(Contact.OFF_NORMAL, False)
        dial.waits(300 * MS)
    dial.waits(20 * SECOND)
    assert host.done == ["understood 14:30", "next 14:30"]


@pytest.fixture
def knobs(host):
    hand = Hand(Turning(Knobs(Port("/dev/x"), (0, 1023), (1023, 0), Sets.CLOCK), host), host)
    hand.turns(0, 1023)
    return hand


def mark(number):
    """What a knob reads at one of its twelve marks; 3 % at either end are the stop."""
    return round(1023 * (0.03 + 0.94 * number / 11))


HALF_PAST = 1023 - mark(6)


def test_knobs_that_are_still_are_spoken_back_and_then_count(knobs, host):
    knobs.turns(mark(1), HALF_PAST)
    assert host.done == ["understood 14:30"]
    knobs.turns(mark(1), HALF_PAST, 10 * SECOND)
    assert host.done == ["understood 14:30", "clock 14:30"]


def test_how_the_knobs_stand_at_the_start_is_no_setting(knobs, host):
    knobs.turns(0, 1023, 30 * SECOND)
    assert host.done == []


def test_turned_on_before_it_counts_the_first_is_forgotten(knobs, host):
    knobs.turns(mark(1), HALF_PAST)
    knobs.turns(mark(2), HALF_PAST, 12 * SECOND)
    assert host.done == [
        "understood 14:30", "cancelled 14:30", "understood 15:30", "clock 15:30",
    ]  # fmt: skip


def test_knobs_that_are_pulled_out_before_it_counts_change_nothing(knobs, host):
    knobs.turns(mark(1), HALF_PAST)
    knobs.receiver.heard(Gone(host.time))
    knobs.waits(20 * SECOND)
    knobs.turns(500, 500, 20 * SECOND)
    assert host.done == ["understood 14:30", "cancelled 14:30"]


@pytest.fixture
def people(host):
    there = Presence(Wire("22"), every=timedelta(minutes=5))
    return Hand(Gathering(there, "pin 22", host), host)


def test_people_who_gather_are_called_at_most_once_in_five_minutes(people, host):
    for _ in range(60):
        people.edge(Contact.PRESENCE, True)
        people.waits(5 * SECOND)
        people.edge(Contact.PRESENCE, False)
        people.waits(5 * SECOND)
    assert host.done == ["called", "called"]


def test_people_who_gather_in_a_quiet_time_are_called_when_it_is_over_if_they_stay(people, host):
    host.may_call = False
    people.edge(Contact.PRESENCE, True)
    people.waits(60 * SECOND)
    assert host.done == []
    host.may_call = True
    people.waits(2 * SECOND)
    assert host.done == ["called"]


def test_nobody_is_called_who_has_left(people, host):
    host.may_call = False
    people.edge(Contact.PRESENCE, True)
    people.waits(5 * SECOND)
    people.edge(Contact.PRESENCE, False)
    host.may_call = True
    people.waits(60 * SECOND)
    assert host.done == []


def test_a_sensor_that_is_pulled_out_sees_nobody(people, host):
    host.may_call = False
    people.edge(Contact.PRESENCE, True)
    people.receiver.heard(Gone(host.time))
    host.may_call = True
    people.waits(60 * SECOND)
    assert host.done == []
