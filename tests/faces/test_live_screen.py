"""The live day on a pseudo-terminal: ask, hear, see, quit."""

from __future__ import annotations

import os
import re
import shlex
import signal
import sys
import time

import pexpect
import pytest

from showtime.live import Journal
from showtime.live import events as happened
from showtime.live.ledger import looked_at

PLAIN = re.compile(r"\x1b\[[0-9;?]*[a-zA-Z]|\x1b[()][A-Z0-9]")


@pytest.fixture
def live(tmp_path):
    """Opens the demo's live day on a terminal of 80 by 24, with a sound card that only counts."""
    opened = []

    def open_(*more, columns=80, lines=24, into=None):
        env = {
            **os.environ,
            "SHOWTIME_SOUND_CARD": "null",
            "XDG_CACHE_HOME": str(tmp_path / "cache"),
            "TERM": "xterm-256color",
        }
        arguments = ["-m", "showtime", "run", "--as-if", "2027-02-13T10:28"]
        command = [sys.executable, *arguments, "--journal", str(tmp_path / "day.journal"), *more]
        if into is not None:
            command = ["/bin/sh", "-c", f"exec {shlex.join(command)} > {shlex.quote(str(into))}"]
        child = pexpect.spawn(
            command[0],
            command[1:],
            env=env,
            dimensions=(lines, columns),
            encoding="utf-8",
            timeout=60,
        )
        opened.append(child)
        return child

    yield open_
    for child in opened:
        child.close(force=True)


def events_so_far(tmp_path):
    """While the day is running."""
    return looked_at(tmp_path / "day.journal")


def events_in(tmp_path):
    journal = Journal(tmp_path / "day.journal")
    found = list(journal)
    journal.close()
    return found


def test_ask_hear_see_quit(live, tmp_path):
    screen = live()
    screen.expect("NEXT")
    screen.expect("nobody has asked yet")
    screen.send(" ")
    screen.expect("asked once")
    screen.send("q")
    screen.expect(pexpect.EOF)
    screen.wait()
    assert screen.exitstatus == 0
    shown = PLAIN.sub("", screen.before)
    assert "Barnaby Rook:" in shown
    answers = [e for e in events_in(tmp_path) if isinstance(e, happened.Answered)]
    assert [answer.spoken for answer in answers if answer.trigger == "key"] == ["aloud"]
    assert isinstance(events_in(tmp_path)[-1], happened.DayEnded)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_a_signal_ends_the_day_cleanly_at_once(live, tmp_path, number):
    screen = live()
    screen.expect("NEXT")
    begun = time.monotonic()
    screen.kill(number)
    screen.expect(pexpect.EOF)
    screen.wait()
    assert screen.exitstatus == 0
    assert time.monotonic() - begun < 3
    assert isinstance(events_in(tmp_path)[-1], happened.DayEnded)


def test_the_keepers_keys_hold_and_release(live):
    screen = live()
    screen.expect("NEXT")
    screen.send("h")
    screen.expect("HELD: held by the keeper")
    screen.send("r")
    screen.expect("Going on")
    screen.send("l")
    screen.expect("becomes")
    screen.send("q")
    screen.expect(pexpect.EOF)


def test_any_order_can_be_typed_on_the_screen(live, tmp_path):
    screen = live()
    screen.expect("t type an order")
    screen.send("t")
    screen.expect("Enter does it   Esc gives up")
    screen.send("off 11:20")
    screen.expect("11:20 Frost Bells is left out.")
    assert not any(isinstance(e, happened.CalledOff) for e in events_so_far(tmp_path))
    screen.send("\r")
    screen.expect("t type an order")
    screen.send(" ")
    screen.expect("asked once")
    screen.send("q")
    screen.expect(pexpect.EOF)
    assert any(isinstance(e, happened.CalledOff) for e in events_in(tmp_path))


def test_escape_leaves_the_line_and_a_cursor_key_does_not(live, tmp_path):
    screen = live()
    screen.expect("t type an order")
    screen.send("tskip\x1b[D")
    screen.expect("tell: .*skip")
    screen.send("x\r")
    screen.expect("means nothing here")
    screen.send("\x1b")
    screen.expect("t type an order")
    screen.send("q")
    screen.expect(pexpect.EOF)
    assert not any(isinstance(e, happened.CalledOff) for e in events_in(tmp_path))


def test_a_clock_mistyped_on_the_screen_is_asked_for_and_taken_back(live, tmp_path):
    screen = live()
    screen.expect("NEXT")
    for _ in range(2):
        screen.send("tclock 16:05\r")
        screen.expect("t type an order")
    screen.expect("16:05:")
    screen.send("u")
    screen.expect("is taken back")
    screen.expect("10:28:")
    screen.send("q")
    screen.expect(pexpect.EOF)


def test_where_the_output_goes_to_a_file_orders_can_be_typed_too(live, tmp_path):
    lines = tmp_path / "lines"
    screen = live(into=lines)
    wait_for(lines, "to come")
    screen.send("t")
    wait_for(lines, "type an order")
    screen.send("off 11:20")
    wait_for(lines, "tell: off 11:20  ->  11:20 Frost Bells is left out.")
    screen.send("\r")
    wait_for(lines, "the line is closed")
    screen.send("q")
    screen.expect(pexpect.EOF)
    assert any(isinstance(e, happened.CalledOff) for e in events_in(tmp_path))


def wait_for(file, text):
    ends = time.monotonic() + 30
    while not (file.exists() and text in file.read_text()):
        assert time.monotonic() < ends, f"{text!r} was not written"
        time.sleep(0.05)


def test_a_narrow_and_low_terminal_still_shows_what_matters(live):
    screen = live(columns=50, lines=16)
    screen.expect("NEXT")
    screen.send("q")
    screen.expect(pexpect.EOF)


def test_two_days_on_one_journal_are_refused(live):
    first = live()
    first.expect("NEXT")
    second = live()
    second.expect(f"process {first.pid}")
    second.expect(pexpect.EOF)
    second.wait()
    assert second.exitstatus == 2
    first.send("q")
    first.expect(pexpect.EOF)
