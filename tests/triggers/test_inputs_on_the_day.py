"""Several inputs at once, on a live day: found, missing, pulled, plugged in again, at fault."""

from __future__ import annotations

import os
import queue
import subprocess
import sys
import threading
import time
from datetime import timedelta

import pytest

from showtime.fair.wiring import Button, Clicker, Deeds, Dial, Knobs, Port, Presence, Sets, Wire
from showtime.triggers import Board, Inputs
from showtime.triggers.standins import HandKeyboards, HandLine, HandPin, HandRemote

mock = pytest.importorskip("gpiozero.pins.mock", reason="gpiozero is not installed")


def asks(of, **deeds):
    return Button(of, Deeds(**{key: tuple(words.split()) for key, words in deeds.items()}))


@pytest.fixture
def take_up(live_host):
    """Takes inputs up on a board, and gives them back at the end."""
    taken = []

    def take(wired, **board):
        told = []
        inputs = Inputs(wired, live_host, told.append, Board(again=0.03, **board))
        taken.append(inputs)
        return inputs.start(), told, inputs

    yield take
    for inputs in taken:
        inputs.close()


@pytest.fixture
def line(tmp_path):
    made = HandLine(str(tmp_path / "line"))
    yield made
    if os.path.lexists(made.path):
        made.close()


def test_everything_at_once_does_what_it_is_there_for(take_up, live_host, line, before_long):
    remote, factory = HandRemote("Pocket Presenter"), mock.MockFactory()
    button = HandPin(factory, 17)
    wired = [
        asks(Clicker("presenter"), press="ask"),
        asks(Wire("17"), press="hold"),
        asks(Port(line.path), press="skip"),
        Presence(Port(line.path)),
        Knobs(Port(line.path), sets=Sets.CLOCK),
        Dial(Wire("23"), Wire("24")),
    ]
    said, told, inputs = take_up(wired, keyboards=HandKeyboards([remote]), factory=factory)
    assert (said, inputs.troubles) == ("", ())
    remote.press()
    button.press()
    line.send("down", "up", "here")
    wanted = {"ask", "hold", "skip", "called"}
    assert before_long(lambda: set(live_host.done) == wanted)
    assert told == []
    assert remote.typed_elsewhere == []


def test_a_missing_one_is_a_line_and_the_others_work(take_up, live_host, line, before_long):
    remote = HandRemote("Pocket Presenter", plugged_in=False)
    wired = [asks(Clicker("Presenter"), press="ask"), asks(Port(line.path), press="skip")]
    said, told, inputs = take_up(wired, keyboards=HandKeyboards([remote]))
    assert said == inputs.troubles[0]
    assert "Presenter" in said
    line.press()
    assert before_long(lambda: live_host.done == ["skip"])
    remote.wake()
    assert before_long(lambda: told == ["Presenter: there now"])
    remote.press()
    assert before_long(lambda: live_host.done == ["skip", "ask"])


def test_several_missing_ones_are_told_in_one_line(take_up):
    wired = [asks(Clicker("Presenter")), asks(Port("/dev/no-such-line"))]
    said, _, inputs = take_up(wired, keyboards=HandKeyboards())
    assert "2 inputs are not there: Presenter, /dev/no-such-line" in said
    assert len(inputs.troubles) == 2


def test_an_order_that_means_nothing_is_told_before_anybody_presses(take_up, line):
    said, _, _ = take_up([asks(Port(line.path), press="late")])
    assert "late" in said
    assert "how many minutes?" in said


def test_another_program_that_has_the_line_is_named(take_up, line):
    first, _, _ = take_up([asks(Port(line.path))])
    second, _, _ = take_up([asks(Port(line.path))])
    assert first == ""
    assert "in use" in second


def test_a_wrong_rate_is_told_once_and_forgotten_when_it_makes_sense(
    take_up, live_host, line, before_long
):
    _, told, inputs = take_up([asks(Port(line.path), press="ask")])
    line.jam()
    assert before_long(lambda: len(told) == 1)
    assert "115200 baud" in inputs.troubles[0]
    line.jam()
    line.send("", "press")
    assert before_long(lambda: live_host.done == ["ask"])
    assert before_long(lambda: inputs.troubles == ())
    assert len(told) == 2


def test_a_fault_in_what_a_press_leads_to_does_not_deafen_the_button(
    take_up, live_host, line, before_long, monkeypatch
):
    faults = []
    monkeypatch.setattr(threading, "excepthook", lambda fault: faults.append(fault.exc_value))
    do = live_host.do

    def fails_once(deed, by):
        if not faults:
            raise ZeroDivisionError("a fault in the program itself")
        do(deed, by)

    live_host.do = fails_once
    _, told, inputs = take_up([asks(Port(line.path), press="ask")])
    line.send("press")
    assert before_long(lambda: len(faults) == 1)
    time.sleep(0.05)
    line.send("press")
    assert before_long(lambda: live_host.done == ["ask"])
    assert (told, inputs.troubles) == ([], ())


def test_pulled_out_at_any_moment_of_a_line_nothing_is_done_that_was_not_sent(
    take_up, live_host, line, before_long, full
):
    _, _, inputs = take_up([asks(Port(line.path), press="ask")])
    sent = b"press*67\r\n"
    for times in range(len(sent) - 2 if not full else 10 * len(sent)):
        cut = times % (len(sent) - 2)
        line.send_bytes(sent[:cut])
        line.unplug()
        assert before_long(lambda: inputs.troubles != ())
        line.plug_in()
        assert before_long(lambda: inputs.troubles == ())
        time.sleep(0.02)
        assert len(live_host.done) == times
        line.send_bytes(sent)
        assert before_long(lambda times=times: len(live_host.done) == times + 1)


def dial(pulse, away, digits):
    """At 10 pulses a second, as evenly as this machine can."""
    for digit in digits:
        away.drive_low()
        time.sleep(0.03)
        for _ in range(digit):
            pulse.drive_high()
            time.sleep(0.061)
            pulse.drive_low()
            time.sleep(0.039)
        away.drive_high()
        time.sleep(0.03)


def test_a_dial_on_two_pins_sets_the_next_performance(take_up, live_host, before_long):
    """A busy machine dials unevenly, which is a doubt and never another time: it dials again."""
    factory = mock.MockFactory()
    pulse, away = factory.pin(23), factory.pin(24)
    bare = timedelta()
    take_up([Dial(Wire("23", debounce=bare), Wire("24", debounce=bare))], factory=factory)
    pulse.drive_low()
    time.sleep(0.5)
    for tries in range(1, 6):
        dial(pulse, away, (1, 4, 3, 10))
        assert before_long(lambda tries=tries: len(live_host.done) == tries, 8)
        if live_host.done[-1] != "not caught":
            break
    assert live_host.done[-1] == "understood 14:30"


@pytest.fixture
def day(tmp_path, top, line):
    """A live day as a process, of which each line is read as it comes."""
    text = (top / "config" / "tin-orchard.yaml").read_text("utf-8")
    text = text.replace("organiser: ", "# organiser: ").replace("  - {why: organ", "#")
    file = tmp_path / "stall.yaml"
    file.write_text(
        f"{text}\ninputs:\n"
        f"  - {{serial: {line.path}, press: ask, long: hold, double: release}}\n"
        f"  - {{clicker: No Such Remote, press: ask}}\n"
    )
    process = subprocess.Popen(
        [sys.executable, "-m", "showtime", "run", "--as-if", "2027-02-13T10:28", str(file)],
        stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        env={**os.environ, "SHOWTIME_SOUND_CARD": "null", "HOME": str(tmp_path)},
    )  # fmt: skip
    lines = queue.Queue()
    threading.Thread(
        target=lambda: [lines.put(each) for each in process.stdout], daemon=True
    ).start()

    def shows(wanted, within=15):
        seen = []
        until = time.monotonic() + within
        while time.monotonic() < until:
            try:
                seen.append(lines.get(timeout=0.5))
            except queue.Empty:
                continue
            if wanted in seen[-1]:
                return seen[-1]
        raise AssertionError(f"{wanted!r} is not in {seen}")

    yield shows, process
    process.terminate()
    process.wait(timeout=10)
    process.stdout.close()


def pressed_twice(line, shows):
    for _ in range(2):
        line.press()
        time.sleep(0.05)
        line.release()
        time.sleep(0.05)
    try:
        return shows("waiting", within=3)
    except AssertionError:
        return ""


def test_a_day_with_a_line_and_without_a_clicker(day, line):
    shows, process = day
    shows("to come")
    missing = shows("No Such Remote: no such clicker is there")
    assert "Traceback" not in missing
    line.press()
    line.release()
    shows(f"{line.path} (next, aloud)")
    line.press()
    shows("held")
    line.release()
    assert any(pressed_twice(line, shows) for _ in range(6)), "a busy machine presses slowly"
    line.unplug()
    shows("goes on without it")
    line.plug_in()
    shows("there now")
    line.press()
    shows("held")
    process.terminate()
    shows("ended")
    assert process.wait(timeout=10) == 0
