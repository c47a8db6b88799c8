"""Whatever stands where a value belongs in a fair's file, what comes is a fair or places in it."""

from __future__ import annotations

import re
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from showtime.fair.hall import Fair
from showtime.settings import Problem, SettingsError, is_fair, load_fair

HOLES = """\
fair: ◌
timezone: ◌
days: ◌
quiet: ◌
caps: ◌
together: ◌
noise: ◌
patterns: ◌
stalls:
  - {file: ◌, place: {x: ◌, y: ◌}}
  - {stall: ◌, figure: ◌, place: ◌, pieces: ◌}
  - ◌
"""
USUAL = [
    "Osierholt", "Europe/London", "[{date: 2027-02-13, opens: 10:00, closes: 17:00}]",
    "[{why: speech, from: 10:00, until: 10:10}]",
    "[{performances: 3, in_any: 60 min, stalls: [Owl]}]", "[{stalls: 1, within: 4 m}, {stalls: 2}]",
    "[{level: 62 dBA, in_any: day}]", "[&one {name: The Fold, lasts: 3 min, level: 74 dBA}]",
    "cart.yaml", "0 m", "3 m", "Owl", "Hoot", "{x: 5 m, y: 1 m}",
    "[{name: The Fold, lasts: 3 min, level: 74 dBA}]",
    "{stall: Wren, figure: Pip, place: {x: 9 m, y: 0 m}, pieces: [*one]}",
]  # fmt: skip
STRANGE = ["", "~", "[]", "{}", "[~]", "{a: 1}", "0", "-1", "no", "1e99 m", "*one", "*none", "&x y",
           "'", "[", "}", "fair.yaml", "/dev/null", ".", "Owl", "[Owl, Owl]", "[*one, *one]",
           "{<<: *one}", "[{<<: *one, stalls: ~}]", "day", "[{stalls: []}]", "[[1]]", "🎪", "\x00",
           "[{level: 62 dBA, in_any: 60 min, stalls: [Nobody]}]", "# none", "|", "\n", "? x",
           "{x: 0 m, y: 0 m}", "9999999999 m", "x: y", "!!python/none x", "\u2028"]  # fmt: skip
CART = """\
stall: The Lantern Cart
figure: Wick
pieces: [{name: Small Lights, lasts: 4 min, level: 66 dBA}]
"""
FILLED = st.lists(
    st.tuples(st.integers(0, len(USUAL) - 1), st.sampled_from(STRANGE) | st.text(max_size=12)),
    max_size=3,
)


def check(odd: list[tuple[int, str]]) -> None:
    values = dict(enumerate(USUAL)) | dict(odd)
    found = iter(range(len(USUAL)))
    text = re.sub("◌", lambda _: values[next(found)], HOLES)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "fair.yaml"
        (Path(folder) / "cart.yaml").write_text(CART)
        path.write_text(text, encoding="utf-8", errors="replace", newline="")
        lines = re.sub("\r\n?", "\n", path.read_text("utf-8").removeprefix("\ufeff")).split("\n")
        assert is_fair(path) in (True, False)
        for problem in told(path):
            assert problem.message.isprintable()
            assert "; " in problem.message or "?" in problem.message, problem.message
            if problem.where.file == str(path):
                assert 1 <= problem.where.line <= len(lines), problem
                assert 1 <= problem.where.column <= len(lines[problem.where.line - 1]) + 1


def told(path: Path) -> tuple[Problem, ...]:
    """What is said about the fair; nothing when it is one."""
    try:
        made = load_fair(path)
    except SettingsError as error:
        return error.problems
    assert isinstance(made, Fair)
    return ()


def test_nothing_strange_is_a_fair() -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "fair.yaml"
        (Path(folder) / "cart.yaml").write_text(CART)
        found = iter(USUAL)
        path.write_text(re.sub("◌", lambda _: next(found), HOLES))
        names = [stand.name for stand in load_fair(path).stands]
        assert names == ["The Lantern Cart", "Owl", "Wren"]


def test_a_fair_or_places_come_of_any_values(full: bool) -> None:
    limits = settings(
        max_examples=10_000 if full else 250,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=[HealthCheck.too_slow],
    )
    limits(given(FILLED)(check))()
