"""`showtime new` at a maker's terminal: with typing errors, second thoughts and cold fingers."""

from __future__ import annotations

import os
import signal
import sys
import time

import pexpect
import pytest

from showtime.settings import load_stall


@pytest.fixture
def folder(monkeypatch, tmp_path):
    """An empty folder to be in, on a machine set to London and English."""
    here = tmp_path / "stalls"
    here.mkdir()
    monkeypatch.chdir(here)
    for name, value in {
        "TZ": "Europe/London", "LC_ALL": "C.UTF-8", "NO_COLOR": "1", "TERM": "xterm",
    }.items():  # fmt: skip
        monkeypatch.setenv(name, value)
    return here


def terminal(*words, columns=80):
    return pexpect.spawn(
        sys.executable,
        ["-m", "showtime", "new", *map(str, words)],
        dimensions=(24, columns),
        timeout=30,
        encoding="utf-8",
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        # Tests that run beside each other have Ctrl-C ignored, which would be passed on.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )


def answer(child, number, typed):
    child.expect(rf"{number}/6 .*?\] ")
    child.sendline(typed)


def ended(child):
    child.expect(pexpect.EOF)
    child.close()
    return child.exitstatus, child.before


def files(folder):
    return sorted(path.name for path in folder.iterdir())


def test_a_machine_set_to_german_proposes_german(folder, monkeypatch):
    monkeypatch.delenv("LC_ALL")
    monkeypatch.setenv("LANG", "de_DE.UTF-8")
    child = terminal("a.yaml")
    answer(child, 1, "")
    answer(child, 2, "")
    child.expect(r"\[German, Europe/London\] ")
    child.sendeof()
    assert ended(child)[0] == 0


def test_at_a_terminal_a_wrong_answer_is_asked_again_until_it_is_right(folder):
    child = terminal()
    answer(child, 1, "The Night Kettlx\x7fe")
    child.expect("= The Night Kettle\r")
    answer(child, 2, "Old Ember")
    answer(child, 3, "Germn")
    child.expect(r"No: .*did\s+you\s+mean\s+German\?")
    child.sendline("german, berlin")
    child.expect(r"= German; Europe/Berlin, where it is \d\d:\d\d now")
    answer(child, 4, "10-25")
    child.expect("No: '25' is no time of day")
    child.sendline("13 Feb 2027, 10 to 17:00")
    child.expect("= Saturday 13 February 2027, 10:00 to 17:00")
    answer(child, 5, "Bells 9 h")
    child.expect("No: 9 h is longer than any day, the longest has 7 h")
    child.sendline("Bells 4 min 30")
    child.expect("= Bells, 4 min 30 s")
    answer(child, 6, "")
    child.expect("= lunch, 13:00 to 13:30")
    code, rest = ended(child)
    assert code == 0
    assert "showtime plan night-kettle.yaml" in rest
    assert files(folder) == ["night-kettle.yaml"]


def test_ctrl_c_at_any_question_leaves_nothing(folder):
    for number in (1, 4, 6):
        child = terminal("a.yaml")
        for asked in range(1, number):
            answer(child, asked, "")
        child.expect(rf"{number}/6 .*?\] ")
        child.send("half an ans")
        child.expect("half an ans")
        time.sleep(0.2)  # no hand is quicker; within microseconds of a key, Python may miss it
        child.sendintr()
        code, rest = ended(child)
        assert code == 1
        assert "Nothing is written." in rest
        assert "Traceback" not in rest
        assert files(folder) == []


def test_ctrl_d_takes_what_stands_in_brackets_for_all_that_is_left(folder):
    child = terminal("a.yaml")
    answer(child, 1, "Tin Hen")
    child.expect(r"2/6 .*?\] ")
    child.sendeof()
    code, rest = ended(child)
    assert code == 0
    assert "quiet: lunch, 13:00 to 13:30" in rest
    assert load_stall(folder / "a.yaml").signboard.stall == "Tin Hen"


def test_one_may_go_back_and_answer_anew(folder):
    child = terminal("a.yaml")
    answer(child, 1, "<")
    answer(child, 1, "Wrogn")
    answer(child, 2, "<")
    answer(child, 1, "Right")
    answer(child, 2, "Peg")
    child.expect(r"3/6 .*?\] ")
    child.sendeof()
    assert ended(child)[0] == 0
    board = load_stall(folder / "a.yaml").signboard
    assert (board.stall, board.figure) == ("Right", "Peg")


def test_nothing_is_wider_than_the_terminal(folder):
    child = terminal("a.yaml")
    answer(child, 1, "")
    answer(child, 2, "")
    answer(child, 3, "Martian tongue")
    child.expect(r"No: [^\[]*\[.*?\] ")
    refused = child.after
    child.sendeof()
    child.expect(pexpect.EOF)
    assert "zone;" in refused
    assert max(map(len, f"{refused}{child.before}".splitlines())) <= 80
