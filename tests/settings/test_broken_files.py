"""However a settings file is broken, what comes is a stall, a fair, or lines that name places."""

from __future__ import annotations

import random
import shutil
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from showtime.fair import Stall
from showtime.fair.hall import Fair
from showtime.settings import Problem, SettingsError, is_fair, load_fair, load_stall, shipped

SHORT, LONG = 400, 4000
LONGEST_SECONDS = 5.0  # for one file, on a busy machine; the usual one takes milliseconds

NASTY = [
    "", "~", "null", "0", "-1", "1e999", ".nan", ".inf", "-.inf", "0x7fffffff", "0o17", "1_000",
    "99999999999999999999999", "10:30", "24:00", "25:61", "00:00", "2027-02-30", "0000-00-00",
    "9999-12-31", "1 min", "0 s", "-5 min", "1e9 h", "74", "74 dBA", "999999 dBA", "NaN dBA",
    "[]", "{}", "[[[[[[[[]]]]]]]]", "{a: {a: {a: 1}}}", "!!python/object:os.system x", "!!int x",
    "*x", "&x 1", "<<", "<<: *x", "? x", "|", ">", "'", '"', "#", "%", "@", "`", "- - -", ": :",
    "tin-orchard.yaml", "osierholt-fair.yaml", "recitals.ics", "*wound_up", "/dev/zero",
    "/dev/null", "..", "\\", "\x00", "\x1b[2J",
    "\ufeff", "\u2028", "\u0085", "🎪" * 50, "é", "x" * 5000, "٣ min", "١٠:٣٠", "½ h", "day",
]  # fmt: skip

Mutation = Callable[[bytes, random.Random], bytes]


def flip_bytes(text: bytes, chance: random.Random) -> bytes:
    flipped = bytearray(text)
    for _ in range(chance.randint(1, 8)):
        flipped[chance.randrange(len(flipped))] = chance.randrange(256)
    return bytes(flipped)


def swap_characters(text: bytes, chance: random.Random) -> bytes:
    flipped = bytearray(text)
    for _ in range(chance.randint(1, 5)):
        flipped[chance.randrange(len(flipped))] = ord(chance.choice(":-,{}[]#&*!|>'\"%@ \t\n0a"))
    return bytes(flipped)


def on_lines(change: Callable[[list[bytes], random.Random], None]) -> Mutation:
    def changed(text: bytes, chance: random.Random) -> bytes:
        lines = text.split(b"\n")
        for _ in range(chance.randint(1, 3)):
            change(lines, chance)
        return b"\n".join(lines)

    return changed


def drop(lines: list[bytes], chance: random.Random) -> None:
    if len(lines) > 1:
        del lines[chance.randrange(len(lines))]


def double(lines: list[bytes], chance: random.Random) -> None:
    at = chance.randrange(len(lines))
    lines.insert(chance.randrange(len(lines)), lines[at])


def swap(lines: list[bytes], chance: random.Random) -> None:
    one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]


def indent(lines: list[bytes], chance: random.Random) -> None:
    at = chance.randrange(len(lines))
    lines[at] = chance.choice([b" ", b"  ", b"\t", b"    "]) + lines[at]


def outdent(lines: list[bytes], chance: random.Random) -> None:
    at = chance.randrange(len(lines))
    lines[at] = lines[at].lstrip()


def new_value(lines: list[bytes], chance: random.Random) -> None:
    at = chance.randrange(len(lines))
    value = chance.choice(NASTY).encode()
    parts = lines[at].split(b": ")
    if len(parts) < 2:
        lines[at] = value
        return
    which = chance.randrange(1, len(parts))
    kept = next((end for end in b",}" if end in parts[which]), None)
    tail = b"" if kept is None else parts[which][parts[which].index(kept) :]
    parts[which] = value + tail
    lines[at] = b": ".join(parts)


def cut(text: bytes, chance: random.Random) -> bytes:
    start = chance.randrange(len(text))
    return text[:start] if chance.random() < 0.5 else text[start:]


MUTATIONS: list[Mutation] = [
    flip_bytes,
    swap_characters,
    cut,
    *(on_lines(change) for change in (drop, double, swap, indent, outdent, new_value, new_value)),
]


def is_inside(problem: Problem) -> bool:
    content = Path(problem.where.file)
    if not content.is_file():
        return (problem.where.line, problem.where.column) == (1, 1)
    text = content.read_bytes().decode("utf-8", "replace")
    lines = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    line, column = problem.where.line, problem.where.column
    return 1 <= line <= len(lines) and 1 <= column <= len(lines[line - 1]) + 1


FILES = ("tin-orchard.yaml", "osierholt-fair.yaml", "recitals.ics")


def outcome(folder: Path, fair: bool) -> Stall | Fair | SettingsError:
    begun = time.perf_counter()
    try:
        if fair:
            return load_fair(folder / "osierholt-fair.yaml")
        return load_stall(folder / "tin-orchard.yaml")
    except SettingsError as error:
        return error
    finally:
        assert time.perf_counter() - begun < LONGEST_SECONDS


# Which file is broken, whether the fair is loaded or the stall, and for which share of the rounds.
TRIES = [
    ("tin-orchard.yaml", False, 1.0),
    ("osierholt-fair.yaml", False, 0.5),
    ("recitals.ics", False, 0.25),
    ("osierholt-fair.yaml", True, 0.5),
    ("tin-orchard.yaml", True, 0.25),
]


@pytest.mark.parametrize(("name", "fair", "share"), TRIES)
@pytest.mark.parametrize("part", range(4))
def test_a_broken_file_gives_places_and_never_a_traceback(
    tmp_path: Path, full: bool, name: str, fair: bool, share: float, part: int
) -> None:
    for file in FILES:
        shutil.copy(shipped(f"config/{file}"), tmp_path / file)
    whole = (tmp_path / name).read_bytes()
    good = 0
    rounds = int((LONG if full else SHORT) / 4 * share)
    for seed in range(part * rounds, (part + 1) * rounds):
        chance = random.Random(seed)
        broken = whole
        for _ in range(chance.choice([1, 1, 1, 2, 3])):
            broken = chance.choice(MUTATIONS)(broken, chance) or b"\n"
        (tmp_path / name).write_bytes(broken)
        is_fair(tmp_path / name)
        came = outcome(tmp_path, fair)
        if not isinstance(came, SettingsError):
            good += 1
            continue
        assert came.problems
        for problem in came.problems:
            assert is_inside(problem), f"seed {seed}: {problem}"
            assert problem.message.isprintable(), f"seed {seed}: {problem}"
            assert "; " in problem.message or "?" in problem.message, f"seed {seed}: {problem}"
    assert 0 < good < rounds, "some mutations are harmless, most are not"
