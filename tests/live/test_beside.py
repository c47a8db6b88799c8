"""What is planned beside the day is not cut off when the program ends: that would be a crash."""

from __future__ import annotations

import subprocess
import sys

BEGUN_BY_A_KEY = """
import threading, time
from showtime.live.ports import beside

def work():
    time.sleep(0.3)
    print("planned", flush=True)

keys = threading.Thread(target=lambda: beside(work), daemon=True)
keys.start()
keys.join()
"""


def test_the_program_waits_for_a_plan_that_a_key_has_begun():
    ended = subprocess.run(
        [sys.executable, "-c", BEGUN_BY_A_KEY], capture_output=True, text=True, timeout=60
    )
    assert ended.returncode == 0, ended.stderr
    assert ended.stdout == "planned\n"
