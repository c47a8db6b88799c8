"""kill -9 at random moments across a whole day: what was acknowledged holds until the evening.

The day is lived by `hurried_day.py` in real processes, one after the other, on one journal on
disk: each is killed, and the next resumes, until the day is over.
"""

from __future__ import annotations

import json
import os
import random
import select
import signal
import subprocess
import sys
import time
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from showtime.live import DayState, Desk, Journal, Outcome, fold
from showtime.live import events as happened
from showtime.live.keeper.mend import breaks, performed
from showtime.live.ledger import promises_at
from showtime.settings import shipped

PACE = 2400.0
"""A day of seven hours takes ten seconds and a half."""

KILLS = 15
FULL = 25, 8
"""In the long form: so many kills a day, on so many days."""

WHILE_STARTING = 0.2
"""So many of the kills come while the program starts, at a random moment of that."""

MINUTE = timedelta(minutes=1)


class Hurry:
    """The days of one journal: what their processes had acknowledged when they were killed."""

    def __init__(self, config, journal, env, luck):
        self._config, self._journal, self._env, self._luck = config, journal, env, luck
        self.now = datetime.fromisoformat("2027-02-13T09:50+00:00")
        self.acknowledged = []
        self.killed_at = []
        self._seed = 0

    def run(self, until=None, while_starting=False):
        """Go on with the day until it is `until` and kill it, or, without, until it is over."""
        self._seed += 1
        script = Path(__file__).with_name("hurried_day.py")
        day = subprocess.Popen(
            [sys.executable, str(script), str(self._config), str(self._journal)]
            + [self.now.isoformat(), str(PACE), str(self._seed)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env=self._env,
        )
        begun, lines, opened = time.monotonic(), b"", None
        patience = self._luck.uniform(0, 0.6) if while_starting else 60.0
        while time.monotonic() < begun + patience:
            ready, _, _ = select.select([day.stdout], [], [], 0.002)
            got = os.read(day.stdout.fileno(), 65536) if ready else None
            if got == b"":
                break
            lines += got or b""
            if opened is None and (opened := opened_at(lines)) is not None:
                begun = time.monotonic()
                if until is not None:
                    patience = max(0.0, (until - opened).total_seconds() / PACE)
                    patience += self._luck.uniform(0, 0.02)
        if until is not None or while_starting:
            day.send_signal(signal.SIGKILL)
        rest, errors = day.communicate(timeout=60)
        assert b"Traceback" not in errors, errors.decode()
        assert not errors, errors.decode()
        told = [json.loads(line) for line in (lines + rest).splitlines(keepends=False) if line]
        self.acknowledged += told
        if opened is not None:
            self.now = opened + timedelta(seconds=(time.monotonic() - begun) * PACE)
        self.killed_at.append(self.now)
        self.now += self._luck.uniform(0, 3) * MINUTE
        return day.returncode

    def of(self, kind):
        return [told for told in self.acknowledged if kind in told]


def opened_at(lines):
    """When the day was open, by its own clock; None while nothing says that it is."""
    whole = [json.loads(line) for line in lines.split(b"\n")[:-1]]
    return next(
        (datetime.fromisoformat(each["opened"]) for each in whole if "opened" in each), None
    )


@pytest.fixture(scope="module")
def env(tmp_path_factory):
    """A home with the plan on its shelf: a day is not killed over and over while it is planned."""
    home = tmp_path_factory.mktemp("home")
    homes = {f"XDG_{each}_HOME": str(home / each) for each in ("DATA", "CACHE", "STATE")}
    return {**os.environ, **homes}


@pytest.fixture(scope="module")
def stall_file(tmp_path_factory):
    """The demo stall, where a start is kept if it comes within four minutes: a tenth of a second
    of the hurried day."""
    folder = tmp_path_factory.mktemp("stall")
    for name in ("tin-orchard.yaml", "osierholt-fair.yaml", "recitals.ics"):
        if (source := shipped(f"config/{name}")).exists():
            (folder / name).write_text(source.read_text("utf-8"), "utf-8")
    config = folder / "tin-orchard.yaml"
    config.write_text(config.read_text("utf-8") + "\nkeep_within: 4 min\n", "utf-8")
    return config


def lived(folder, config, env, luck, kills):
    """A whole day with so many kills at random moments of it."""
    hurry = Hurry(config, folder / "day.journal", env, luck)
    opening = hurry.now
    moments = sorted(opening + luck.uniform(0, 7.2 * 60) * MINUTE for _ in range(kills))
    for moment in moments:
        assert hurry.run(moment, while_starting=luck.random() < WHILE_STARTING) == -signal.SIGKILL
    assert hurry.run() == 0
    assert hurry.of("over")
    return hurry


def pytest_generate_tests(metafunc):
    if "part" in metafunc.fixturenames:
        metafunc.parametrize("part", range(FULL[1] if metafunc.config.getoption("--full") else 1))


def test_whatever_was_acknowledged_holds_until_the_evening(part, tmp_path, stall_file, env, full):
    luck = random.Random(part)
    hurry = lived(tmp_path, stall_file, env, luck, FULL[0] if full else KILLS)
    stall = Desk.of(stall_file).stall
    journal = Journal(tmp_path / "day.journal")
    history = list(journal)
    assert not journal.notice
    journal.close()
    state = fold(DayState(stall.days[0], stall.keep_within), history)
    nothing_acknowledged_is_lost(hurry, history, state)
    nothing_is_played_twice(hurry, history, state)
    held_until_released(history)
    its_word_is_kept(history, state)
    assert {rule for rule, _ in breaks(state.day, performed(state))} <= {"grid", "piece"}


def all_of(history, kind):
    return [event for event in history if isinstance(event, kind)]


def nothing_acknowledged_is_lost(hurry, history, state):
    said = {(e.at, e.text, e.told) for e in all_of(history, happened.Answered)}
    for told in hurry.of("said"):
        start = told["told"] and datetime.fromisoformat(told["told"])
        assert (datetime.fromisoformat(told["at"]), told["said"], start) in said
        assert start is None or start in {promise.told for promise in state.promises}
    taken = {(e.at, e.words) for e in all_of(history, happened.ActionTaken)}
    ordered = {(datetime.fromisoformat(o["at"]), o["ordered"]) for o in hurry.of("ordered")}
    assert ordered <= taken
    assert {told["held"] for told in hurry.of("held")} <= {
        e.why for e in all_of(history, happened.Held)
    }
    called = {event.call for event in all_of(history, happened.HallHushed)}
    assert {told["called"] for told in hurry.of("called")} <= called
    assert called <= {call for call, _ in state.hall.called}
    assert len(hurry.of("released")) <= len(all_of(history, happened.Released))
    assert len(hurry.of("undone")) <= len(all_of(history, happened.Undone))
    assert len(all_of(history, happened.DayBegan)) == 1
    moments = [event.at for event in history]
    assert moments == sorted(moments)


def nothing_is_played_twice(hurry, history, state):
    started = all_of(history, happened.Started)
    assert len({event.slot for event in started}) == len(started)
    for event in started:
        assert timedelta(0) <= event.at - event.slot.starts <= state.keep_within
    left = list(started)
    for played in hurry.of("plays"):
        at = datetime.fromisoformat(played["at"])
        behind = [e for e in left if e.at <= at and e.slot.piece == played["plays"]]
        assert behind, f"{played} was not on disk before it moved, or moved twice"
        left.remove(behind[-1])
    assert len(started) >= 3


def held_until_released(history):
    held = False
    for event in history:
        held = isinstance(event, happened.DayResumed) or (
            held and not isinstance(event, happened.Released)
        )
        assert not (held and isinstance(event, happened.Started))


def its_word_is_kept(history, state):
    """Each promise is kept or changed with an apology, but for those whose time came while the
    program was dead, held, or had no moment left to say so."""
    excuses, since, last = [], None, None
    for event in history:
        if isinstance(event, happened.DayResumed) and since is None:
            since = last
        elif isinstance(event, happened.Held) and since is None:
            since = event.at
        elif isinstance(event, happened.Released) and since is not None:
            excuses.append((since, event.at))
            since = None
        last = event.at
    slack = 2 * state.keep_within
    for promise in promises_at(state, history[-1].at):
        if promise.outcome in (Outcome.KEPT, Outcome.CHANGED) or promise.told > history[-1].at:
            continue
        assert any(a - slack <= promise.told <= b + slack for a, b in excuses), promise
