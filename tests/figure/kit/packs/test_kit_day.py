"""A controller alone does the demo stall's Saturday, and tells the same times as the computer."""

from __future__ import annotations

import csv
import shutil
import subprocess
import sys
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from random import Random

import pytest

HERE = Path(__file__).parent
RELEASED = 9 * 3600 + 31 * 60
CLOSED = 17 * 3600 + 20 * 60
DIALLED = "0930"

MEMORY = 100_000
"""Bytes that a small board has to spare for all of it."""

Line = tuple[int, str, str]
Board = Callable[[list[str]], list[str]]


def as_planned(luck: Random) -> list[str]:
    """Visitors ask all day, now and then two in a row."""
    script, second = [f"{RELEASED - 20} release"], RELEASED
    while second < CLOSED:
        second += luck.choice((61, 63, 67, 97, 151))
        script.append(f"{second} ask")
    return script


def held_now_and_then(luck: Random) -> list[str]:
    """The same, and the keeper holds the figure a few times: over no start that was told."""
    return sorted(
        [
            *as_planned(luck),
            *(f"{second} {what}" for second, what in ((35_401, "hold"), (35_533, "release"))),
            *(f"{second} {what}" for second, what in ((49_400, "hold"), (49_702, "release"))),
        ],
        key=lambda line: int(line.split()[0]),
    )


@pytest.fixture(scope="session")
def run_by_python(pack: Path) -> Board:
    code = (
        "import sys; pack, here = sys.argv[1:]; sys.path[:0] = [pack + 'KIT', here];"
        f"from day_on_the_board import play; play(pack, {DIALLED!r}, sys.stdin, print)"
    )
    command = [sys.executable, "-IB", "-c", code, f"{pack}/", str(HERE)]
    return lambda script: ran(command, "\n".join(script))


@pytest.fixture(scope="session")
def run_by_micropython(pack: Path, micropython: Path, tmp_path_factory) -> Board:
    file = tmp_path_factory.mktemp("script") / "script"
    command = ["node", HERE / "day_on_the_board.mjs", micropython, pack, file, DIALLED]

    def run(script: list[str]) -> list[str]:
        file.write_text("\n".join(script), "utf-8")
        return ran([*command, HERE / "day_on_the_board.py"])

    return run


@pytest.fixture(scope="session")
def run_by_cpp(pack: Path, compiler: str, tmp_path_factory) -> Board:
    """Compiled from the headers as they lie in the pack."""
    folder = tmp_path_factory.mktemp("cpp")
    strict = ["-std=c++11", "-O1", "-Wall", "-Wextra", "-Wpedantic", "-Werror", "-fno-exceptions"]
    source, program = HERE / "day_on_the_board.cpp", folder / "day"
    subprocess.run(
        [compiler, *strict, "-I", pack / "KIT" / "CPP", source, "-o", program],
        check=True,
        timeout=120,
    )
    return lambda script: ran([program, f"{pack}/"], "\n".join(script) + "\n")


def ran(command: list[object], given: str | None = None) -> list[str]:
    done = subprocess.run(
        [str(word) for word in command], input=given, capture_output=True, text=True, timeout=300
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout.splitlines()


@pytest.fixture(params=["python", "micropython", "cpp"])
def on_the_board(request: pytest.FixtureRequest) -> Board:
    found: Board = request.getfixturevalue(f"run_by_{request.param}")
    return found


def as_lines(told: list[str], pack: Path, script: list[str]) -> list[Line]:
    """What the controller did, in the words of the computer's journal; without what it tells its
    keeper as it is released."""
    released = [int(line.split()[0]) for line in script if line.endswith("release")]
    with (pack / "PIECES.CSV").open(newline="") as table:
        names = {row["piece"]: row["name"] for row in csv.DictReader(table)}
    found: list[Line] = []
    for line in told:
        second, what, *rest = line.split()
        if what == "moves" and rest[0] != "0":
            found.append((int(second), "moves", names[rest[0]]))
        elif what == "silent":
            found.append((int(second), "silent", ""))
        elif what == "says" and not any(at <= int(second) < at + 3 for at in released):
            found.append((int(second), rest[0], clock(int(rest[1]))))
    return sorted(line for line in found if line[0] >= RELEASED)


def clock(second: int) -> str:
    if second < 0:
        return ""
    day = date(2027, 2, 13) + timedelta(days=second // 86_400)
    return f"{day:%d} {second // 3600 % 24:02}:{second // 60 % 60:02}"


@pytest.mark.parametrize("story", [as_planned, held_now_and_then])
def test_all_day_the_controller_tells_what_the_computer_tells(
    pack, on_the_computer, on_the_board, story
):
    script = story(Random(5))
    told = as_lines(on_the_board(script), pack, script)
    wanted = [line for line in on_the_computer(script) if line[0] >= RELEASED]
    assert {kind for _, kind, _ in wanted} >= {
        *("next", "soon", "call", "playing", "not_open", "tomorrow", "silent", "moves")
    }
    assert told == wanted


def test_nothing_moves_after_power_on_before_the_button_is_held(pack, run_by_python):
    told = run_by_python([f"{second} ask" for second in range(RELEASED, CLOSED, 613)])
    assert not [line for line in told if "moves" in line and not line.endswith("moves 0")]
    assert {line.split()[2] for line in told if "says" in line and line[0] != "-"} <= {
        *("late", "tomorrow")
    }


def test_it_says_that_it_does_not_know_the_time_until_somebody_dials_it(pack, run_by_python):
    first, *_ = run_by_python([f"{RELEASED} ask"])
    assert first == "-1 says clock_unset -1"


def test_a_told_start_that_was_missed_is_owned_up_to_as_on_the_computer(
    pack, on_the_computer, run_by_python
):
    """Once, as soon as the figure is released."""
    missed = plan_of(pack)[3]
    script = [
        f"{RELEASED} release",
        f"{missed - 700} ask",
        f"{missed - 30} hold",
        f"{missed + 100} release",
        f"{missed + 200} ask",
        f"{missed + 400} ask",
    ]
    told = [line.split() for line in run_by_python(script)]
    said = [(line[2], clock(int(line[3]))) for line in told if line[1] == "says"]
    wanted = [(str(kind), at) for _, kind, at in on_the_computer(script) if kind != "moves"]
    assert [what for what, _ in wanted[-3:]] == ["changed", "next", "next"]
    assert said[-3:] == wanted[-3:]
    assert not [line for line in told if line[:2] == [str(missed), "moves"]]


def plan_of(pack: Path) -> list[int]:
    with (pack / "PLAN.CSV").open(newline="") as table:
        return [int(row["begins"]) for row in csv.DictReader(table)]


def test_the_whole_of_it_fits_into_a_small_boards_memory(pack, run_by_micropython):
    *_, last = run_by_micropython(as_planned(Random(5))[::4])
    assert last.startswith("memory ")
    assert int(last.split()[1]) < MEMORY


def test_on_a_board_it_speaks_when_asked_and_moves_only_when_the_button_was_held(pack, micropython):
    """pins.py and main.py too, on a stand-in for the board's pins, in real time."""
    sources = [HERE / "machine.py", HERE / "board_awake.py"]
    told = ran(["node", HERE / "board_awake.mjs", micropython, pack, *sources])
    assert told == [
        "asked True",
        "dialled collecting",
        "held []",
        "released [1]",
        "held again [1, 0]",
        "pwm [0, 32768, 65535]",
    ]


def test_the_packs_reader_in_cpp_gives_out_no_memory(pack, compiler, tmp_path):
    """It calls nothing but what reads numbers and text (C11 7.22.1 and 7.24)."""
    (tmp_path / "alone.cpp").write_text(
        '#include "DAY.HPP"\n#include "DECODERS.HPP"\n'
        "struct Files { bool open(const char*); bool line(char*, int); void close(); } files;\n"
        "using namespace showtime::pack;\n"
        "int all(int now, int* row) {\n"
        "  static Day<Files> day(files); static Turns turns; char how[8];\n"
        "  day.manner(now, how); day.clock_set(UNKNOWN, now); day.hold(); day.release();\n"
        "  const Found found = find(files, day.asked(now).kind, day.step(now).start, now);\n"
        "  const int place = turns.next(found.list, found.sentences, 7);\n"
        "  return clips(files, found.list, place, row, 9)\n"
        "    + clips_of_the_minute(files, 'H', now / 60, 0, row, 9) + day.piece(1);\n"
        "}\n"
    )
    flags = ["-std=c++11", "-Os", "-fno-exceptions", "-fno-rtti", "-fno-threadsafe-statics"]
    command = [compiler, *flags, "-I", pack / "KIT" / "CPP", "-c", "alone.cpp", "-o", "alone.o"]
    subprocess.run(command, cwd=tmp_path, check=True, timeout=120)
    listed = ran(["nm", "-C", "--undefined-only", tmp_path / "alone.o"])
    called = {line.split()[-1] for line in listed if "Files::" not in line}
    assert called <= {
        *("strtol", "strcmp", "strchr", "strcpy", "strncpy", "strncat", "strlen"),
        *("memcpy", "memset", "_GLOBAL_OFFSET_TABLE_", "__stack_chk_fail"),
    }, called


def test_the_kit_needs_no_folder_but_its_own(pack, tmp_path):
    """The board has the kit's files side by side, and nothing else of this program."""
    for file in (pack / "KIT").glob("*.py"):
        shutil.copy(file, tmp_path)
    code = "import sys; sys.path.append(sys.argv[1]); import figure; print(figure.Figure.__name__)"
    assert ran([sys.executable, "-I", "-c", code, tmp_path]) == ["Figure"]
