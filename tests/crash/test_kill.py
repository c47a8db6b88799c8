"""kill -9 at any moment of a running day: nothing that was acknowledged is lost."""

from __future__ import annotations

import os
import pty
import random
import re
import select
import signal
import subprocess
import sys
import time

import pytest

from showtime.live import DayState, Journal, fold
from showtime.live import events as happened

MOMENTS = 50
CHUNKS = 5


def killed_day(journal, env, luck):
    """Run the live day, press space over and over, kill it; the lines that it had printed."""
    keyboard, terminal = pty.openpty()
    command = [sys.executable, "-m", "showtime", "run", "--as-if", "2027-02-13T10:20"]
    day = subprocess.Popen(
        [*command, "--journal", str(journal), "--silent"],
        stdin=terminal,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=env,
    )
    os.close(terminal)
    output, lines = day.stdout.fileno(), b""
    ends = None
    while ends is None or time.monotonic() < ends:
        ready, _, _ = select.select([output], [], [], 0.005)
        if ready:
            got = os.read(output, 65536)
            if not got:
                break
            lines += got
        if ends is None and b"to come" in lines:
            ends = time.monotonic() + luck.uniform(0, 0.4)
        if ends is not None:
            os.write(keyboard, b" ")
    os.kill(day.pid, signal.SIGKILL)
    rest, errors = day.communicate(timeout=20)
    os.close(keyboard)
    assert b"Traceback" not in errors, errors.decode()
    whole = (lines + rest).decode("utf-8", "ignore").rpartition("\n")[0]
    return [line.split("): ", 1)[1] for line in whole.splitlines() if re.search(r"key \(", line)]


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_nothing_acknowledged_is_lost(chunk, tmp_path, saturday, tin_orchard, full):
    env = {**os.environ, "XDG_CACHE_HOME": str(tmp_path / "cache")}
    luck = random.Random(chunk)
    for moment in range((4 if full else 1) * MOMENTS // CHUNKS):
        path = tmp_path / f"{moment}.journal"
        acknowledged = killed_day(path, env, luck)
        journal = Journal(path)
        history = list(journal)
        journal.close()
        state = fold(DayState(saturday, tin_orchard.keep_within), history)
        said = {e.text for e in history if isinstance(e, happened.Answered)}
        assert set(acknowledged) <= said
        told = {e.told for e in history if isinstance(e, happened.Answered) and e.told}
        assert told == {promise.told for promise in state.promises}


def test_after_a_kill_the_same_day_goes_on_with_the_same_promises(tmp_path):
    env = {**os.environ, "XDG_CACHE_HOME": str(tmp_path / "cache")}
    path = tmp_path / "day.journal"
    killed_day(path, env, random.Random(1))
    killed_day(path, env, random.Random(2))
    journal = Journal(path)
    history = list(journal)
    journal.close()
    resumed = [e for e in history if isinstance(e, happened.DayResumed)]
    assert len([e for e in history if isinstance(e, happened.DayBegan)]) == 1
    assert len(resumed) == 1
    moments = [e.at for e in history]
    assert moments == sorted(moments)
