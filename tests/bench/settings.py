"""How long the settings take: they are read at the start of every command."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator

from showtime.settings import load_stall, parse_yaml, shipped
from tests.bench.row import Row, seconds

DEMO = shipped("config/tin-orchard.yaml")

COLD = """
import time
begun = time.perf_counter()
from pathlib import Path
from showtime.settings import load_stall
load_stall(Path({path!r}))
print(time.perf_counter() - begun)
"""


def cold(program: str) -> float:
    """The seconds that a fresh interpreter reports."""
    ran = subprocess.run([sys.executable, "-c", program], capture_output=True, check=True)
    return float(ran.stdout)


def least(program: str, runs: int = 7) -> float:
    """The least of several cold runs: a busy machine only ever adds."""
    cold(program)
    return min(cold(program) for _ in range(runs))


def rows() -> Iterator[Row]:
    text = DEMO.read_text(encoding="utf-8")
    pure = "import yaml; yaml.compose(text, Loader=yaml.SafeLoader)"
    namespace = {"text": text}
    yaml_alone = seconds(lambda: exec(pure, namespace))
    yield Row(
        "demo: YAML text to located tree",
        seconds(lambda: parse_yaml(text, "demo")) * 1000,
        "ms",
        None,
        f"beside PyYAML's own pure composer, {yaml_alone * 1000:.1f} ms",
    )
    yield Row("demo: stall loaded, warm", seconds(lambda: load_stall(DEMO), 20) * 1000, "ms", 10)
    start = cold("import time; begun = time.perf_counter(); print(time.perf_counter() - begun)")
    calendars = least(
        "import time; begun = time.perf_counter(); import recurring_ical_events;"
        " print(time.perf_counter() - begun)"
    )
    pydantic = least(
        "import time; begun = time.perf_counter(); from pydantic import BaseModel;"
        " print(time.perf_counter() - begun)"
    )
    yield Row(
        "demo: stall loaded, cold with all imports",
        (least(COLD.format(path=str(DEMO))) - start) * 1000,
        "ms",
        120,
        f"of it the calendar libraries {calendars * 1000:.0f} ms;"
        f" importing pydantic would add {pydantic * 1000:.0f} ms",
    )
