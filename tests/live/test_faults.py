"""A fault of the program is a line for the keeper, and the day goes on."""

from __future__ import annotations

import logging
import sys
import threading

import pytest

from showtime.live.clock.alarms import SchedulerAlarms
from showtime.live.clock.deskclock import DeskClock
from showtime.live.faults import watch


@pytest.fixture
def told(monkeypatch, tmp_path):
    """What the keeper is told of faults from here on."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    monkeypatch.setattr(threading, "excepthook", threading.excepthook)
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    scheduler = logging.getLogger("apscheduler")
    monkeypatch.setattr(scheduler, "handlers", [])
    lines: list[str] = []
    heard = threading.Event()

    def hear(line):
        lines.append(line)
        heard.set()

    watch(hear)
    return lines, heard, tmp_path


def snap():
    raise RuntimeError("a string snapped")


def test_on_a_thread_of_its_own(told):
    lines, _, folder = told
    thread = threading.Thread(target=snap)
    thread.start()
    thread.join()
    assert len(lines) == 1
    assert "RuntimeError: a string snapped" in lines[0]
    assert "in snap" in (folder / "showtime" / "log" / "faults.log").read_text()


def test_in_an_alarm_and_the_next_alarm_still_rings(told, tin_orchard):
    lines, heard, _ = told
    clock = DeskClock(tin_orchard)
    alarms = SchedulerAlarms(clock)
    rung = threading.Event()
    alarms.set("one", clock.now(), snap)
    assert heard.wait(5)
    alarms.set("two", clock.now(), rung.set)
    assert rung.wait(5)
    alarms.close()
    assert "a string snapped" in lines[0]


def test_where_nothing_can_be_written_the_keeper_is_told_so(told, monkeypatch):
    lines, _, folder = told
    (folder / "file").write_text("")
    monkeypatch.setenv("XDG_STATE_HOME", str(folder / "file"))
    sys.excepthook(RuntimeError, RuntimeError("worn out"), None)
    assert "could not be written" in lines[0]
