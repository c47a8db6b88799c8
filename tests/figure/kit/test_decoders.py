"""A controller hears a dial, knobs and a button exactly as the computer does."""

from __future__ import annotations

import ast
import json
import re
import subprocess
import sys
from collections.abc import Iterator
from random import Random

import pytest

from showtime.figure.kit import decoders, headers
from showtime.triggers.worn_dial import Changes, WornDial, levels, lost, run_together, sparked

S = 1_000_000
FILES = ("dial", "entry", "knobs", "presses")


def by_case(lines: list[str]) -> list[list[str]]:
    """What was told, case by case."""
    cases: list[list[str]] = [[]]
    for line in lines:
        cases[-1].append(line)
        if line.startswith("busy "):
            cases.append([])
    return cases[:-1]


def script(cases: list[list[str]]) -> str:
    return "".join(f"{line}\n" for case in cases for line in case)


@pytest.mark.parametrize("file", FILES)
def test_every_vector_is_told_as_written(player, vectors, file):
    cases = json.loads((vectors / f"{file}.json").read_text("utf-8"))
    told = by_case(player(script([case["script"] for case in cases])))
    assert len(told) == len(cases) > 10
    for case, lines in zip(cases, told, strict=True):
        assert lines == case["told"], case["name"]


def test_the_vectors_are_those_that_their_script_makes(vectors, tmp_path):
    command = [sys.executable, str(vectors / "make.py"), str(tmp_path)]
    subprocess.run(command, check=True, timeout=120)
    for file in FILES:
        made = (tmp_path / f"{file}.json").read_text("utf-8")
        assert made == (vectors / f"{file}.json").read_text("utf-8")


def a_dial(luck: Random) -> WornDial:
    return WornDial(luck.uniform(7, 12), luck.uniform(0.55, 0.75), jitter=2_500)


def train(changes: Changes) -> list[str]:
    lines = [f"{'opens' if is_open else 'closes'} {at}" for at, is_open in levels(changes)]
    return ["dial 0 0", *lines, f"tick {changes[-1] + 2 * S}"]


def test_thousands_of_sound_turns_are_understood_everywhere(other_player, full):
    luck = Random(7)
    digits = [luck.randint(0, 9) for _ in range(10_000 if full else 600)]
    trains = [train(a_dial(luck).turn(digit, S, luck)) for digit in digits]
    told = by_case(other_player(script(trains)))
    assert [[line.split()[1::2] for line in lines[:-1]] for lines in told] == [
        [["digit", str(digit)]] for digit in digits
    ]


def damaged(luck: Random) -> list[str]:
    dial, count = a_dial(luck), luck.randint(3, 12)
    run = dial.run(count, luck)
    ill = luck.randint(0, 3)
    if ill == 0:
        run = lost(run, luck.randint(1, count - 2))
    elif ill == 1:
        run = run_together(run, luck.randint(0, count - 2))
    changes = dial.contacts(run, S, luck)
    for _ in range(luck.randint(1, 9) if ill == 2 else 0):
        at = luck.randint(changes[0] - 90_000, changes[-1] + 90_000)
        changes = sparked(changes, at, luck.randint(20, 40_000))
    return train(changes)


def off_normal(luck: Random) -> list[str]:
    """Both contacts, as they please."""
    at, lines = 0, [f"dial 0 {luck.randint(0, 1)}"]
    for _ in range(80):
        at += luck.choice((2, 4, 6, 40, 60, 90, 350, 1600)) * luck.randint(500, 1500)
        lines.append(f"{luck.choice(('opens', 'closes') * 3 + ('leaves', 'returns'))} {at}")
    return [*lines, f"tick {at + 9 * S}"]


def entered(luck: Random) -> list[str]:
    def hours() -> str:
        opens = luck.randint(0, 1439)
        return f"{opens} {opens + luck.randint(10, 1440)} {luck.randint(-1, 1439)}"

    at, lines = 0, [f"entry {hours()}"]
    for _ in range(60):
        at += luck.choice((300_000, 900_000, 2_000_000, 6_000_000))
        lines.append(
            luck.choice(
                (
                    *[f"digit {at} {luck.randint(0, 9)}"] * 8,
                    *[f"tick {at}"] * 4,
                    f"doubt {at} the pulses are uneven",
                    f"turned {at} {luck.randint(1, 12)} {luck.randint(0, 11) * 5}",
                    f"withdraw {at}",
                    f"busy {at}",
                    f"day {hours()}",
                )
            )
        )
    return lines


def turned(luck: Random) -> list[str]:
    ends = luck.sample(range(65_536), 4)
    lines = ["knobs {} {} {} {}".format(*ends)]
    at, places, noise = 0, [0, 0], luck.choice((0, 300, 2_000))
    for _ in range(200):
        at += luck.choice((20_000, 50_000))
        if luck.random() < 0.03:
            places = [luck.randint(0, 65_535) for _ in places]
        reads = (min(max(place + luck.randint(-noise, noise), 0), 65_535) for place in places)
        lines.append(f"read {at} " + " ".join(map(str, reads)))
    return lines


def pressed(luck: Random) -> list[str]:
    long, double = luck.choice((0, 600_000)), luck.choice((0, 300_000))
    lines = [f"presses {long} {double} {luck.choice((0, 20_000))} {luck.randint(0, 1)}"]
    at = 0
    for _ in range(80):
        at += luck.choice((700, 5_000, 20_000, 90_000, 280_000, 310_000, 700_000))
        lines.append(f"{luck.choice(('down', 'up', 'tick'))} {at}")
    return lines


KINDS = (damaged, off_normal, entered, turned, pressed)


@pytest.mark.parametrize("kind", KINDS)
def test_whatever_happens_the_controller_says_what_the_computer_says(
    python_player, other_player, kind, full
):
    luck = Random(kind.__name__)
    cases = [kind(luck) for _ in range(10_000 // len(KINDS) if full else 60)]
    here, there = by_case(python_player(script(cases))), by_case(other_player(script(cases)))
    assert sum(len(lines) > 1 for lines in here) > len(cases) // 4
    for case, by_computer, by_controller in zip(cases, here, there, strict=True):
        assert by_controller == by_computer, case


def test_the_kit_for_micropython_needs_nothing_but_tuples_with_names():
    for name, text in decoders().items():
        imported = [
            node
            for node in ast.walk(ast.parse(text))
            if isinstance(node, ast.Import | ast.ImportFrom)
        ]
        assert {ast.unparse(node) for node in imported} <= {"from collections import namedtuple"}, (
            name
        )


def undefined(compiler: str, kit) -> Iterator[str]:
    """The symbols that a program with every decoder would have to get from elsewhere."""
    (kit / "alone.cpp").write_text(
        '#include "showtime_decoders.hpp"\n'
        "using namespace showtime;\n"
        "dial::Dial a_dial(0); entry::Open day = {600, 1020, -1}; entry::Entry an_entry(day);\n"
        "knobs::Knobs two_knobs(0, 1023, 0, 1023); presses::Presses a_button(600000);\n"
        "int all(Micros at, int level) {\n"
        "  return a_dial.edge(at, level).digit + an_entry.digit(at, level).minute\n"
        "    + two_knobs.read(at, level, level).hour + a_button.edge(at, level);\n"
        "}\n"
    )
    strict = ["-Wall", "-Wextra", "-Werror", "-fno-exceptions", "-fno-rtti", "-ffreestanding"]
    command = [compiler, "-std=c++11", "-Os", *strict, "-c", "alone.cpp", "-o", "alone.o"]
    subprocess.run(command, cwd=kit, check=True, timeout=120)
    listed = subprocess.run(
        ["nm", "--undefined-only", "alone.o"], cwd=kit, check=True, capture_output=True, text=True
    )
    yield from re.findall(r"U (\S+)", listed.stdout)


def test_the_headers_need_no_memory_to_give_out_and_no_library(compiler, kit):
    """Only what a compiler brings itself, freestanding: GCC may call these four (GCC manual,
    "Language Standards Supported by GCC")."""
    own = {"memcpy", "memmove", "memset", "memcmp", "_GLOBAL_OFFSET_TABLE_", "__stack_chk_fail"}
    assert set(undefined(compiler, kit)) <= own
    included = {
        line for text in headers().values() for line in text.splitlines() if "#include" in line
    }
    assert {line for line in included if "<" in line} == {"#include <stdint.h>"}
