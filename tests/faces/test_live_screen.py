"""The live day on a pseudo-terminal: ask, hear, see, quit."""

from __future__ import annotations

import os
import re
import signal
import sys
import time

import pexpect
import pytest

from showtime.live import Journal
from showtime.live import events as happened

PLAIN = re.compile(r"\x1b\[[0-9;?]*[a-zA-Z]|\x1b[()][A-Z0-9]")


@pytest.fixture
def live(tmp_path):
    """Opens the demo's live day on a terminal of 80 by 24, with a sound card that only counts."""
    opened = []

    def open_(*more, columns=80, lines=24):
        env = {
            **os.environ,
            "SHOWTIME_SOUND_CARD": "null",
            "XDG_CACHE_HOME": str(tmp_path / "cache"),
            "TERM": "xterm-256color",
        }
        arguments = ["-m", "showtime", "run", "--as-if", "2027-02-13T10:28"]
        child = pexpect.spawn(
            sys.executable,
            [*arguments, "--journal", str(tmp_path / "day.journal"), *more],
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
