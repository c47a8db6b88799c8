"""How long the settings take: they are read at the start of every command."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from shutil import copy
from tempfile import TemporaryDirectory

from showtime.settings import is_fair, load_fair, load_stall, parse_yaml, shipped
from tests.bench.row import Row, seconds

DEMO = shipped("config/tin-orchard.yaml")
DEMO_FAIR = shipped("config/osierholt-fair.yaml")

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


HEAD = """\
fair: Osierholt Curiosity Fair
timezone: Europe/London
days:
  - {date: 2027-02-13, opens: 10:00, closes: 17:00}
  - {date: 2027-02-14, opens: 10:00, closes: 16:00}
quiet:
  - {why: bandstand, from: 10:55, until: 11:05, every: 60 min}
  - {why: recitals, calendar: recitals.ics}
caps: [{why: fair rule, performances: 4, in_any: 60 min}]
together: [{stalls: 1, within: 4 m}, {stalls: 60}]
noise: [{level: 62 dBA, in_any: 60 min}]
"""
EACH = """\
    figure: Pip Alder
    pieces:
      - {name: Wren and Thimble, lasts: 4 min, reset: 2 min, level: 67 dBA}
      - {name: The Fold, lasts: 3 min, reset: 2 min, level: 74 dBA}
      - {name: The Hook and Eye, lasts: 5 min, reset: 3 min, level: 72 dBA}
    quiet: [{why: lunch, from: 12:30, until: 13:00}, {why: talks, calendar: recitals.ics}]
    gap: 8 min
    caps: [{performances: 3, in_any: 60 min}, {sounding: 15 min, in_any: 60 min}]
    body: {battery: {capacity: 10 Ah, keep: 20 %, idle: 0.4 A}}
    wishes: {start_on: 5 min, prefer_minutes: [0, 30, 15, 45]}
"""


def many(stalls: int, *, patterns: bool) -> str:
    """A fair of so many stalls, each with all of its settings, or all by one pattern."""
    shared = f"patterns:\n  -\n   &bird\n{EACH}" if patterns else ""
    each = "    <<: *bird\n" if patterns else EACH
    return f"{HEAD}{shared}stalls:\n" + "".join(
        f"  - stall: Bird {n}\n    place: {{x: {n % 30 * 3} m, y: {n // 30 * 3} m}}\n{each}"
        for n in range(stalls)
    )


def fairs() -> Iterator[Row]:
    yield Row(
        "demo fair, 8 stalls, warm", seconds(lambda: load_fair(DEMO_FAIR), 20) * 1000, "ms", 40
    )
    with TemporaryDirectory() as folder:
        copy(shipped("config/recitals.ics"), folder)
        for words, patterns in (("settings of their own", False), ("one pattern", True)):
            path = Path(folder) / "fair.yaml"
            path.write_text(text := many(600, patterns=patterns), encoding="utf-8")
            tree = seconds(lambda text=text: parse_yaml(text, "fair"), 3)
            yield Row(
                f"fair of 600 stalls in place by {words}, {len(text) / 1e3:.0f} kB",
                seconds(lambda path=path: load_fair(path), 3),
                "s",
                2,
                f"of it the located tree {tree:.2f} s",
            )
        yield Row("whether that is a fair at all", seconds(lambda: is_fair(path)) * 1000, "ms", 10)


def rows() -> Iterator[Row]:
    yield from fairs()
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
