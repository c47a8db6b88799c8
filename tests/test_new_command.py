"""`showtime new` in a script, and where something is in its way."""

from __future__ import annotations

import io
import os
import shlex
import stat
import tempfile
from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner

from showtime.cli import app
from showtime.settings import load_stall

ASKED = ("What is the stall called", "What is the figure", "Which language", "On which days",
         "What does it perform", "When must it be quiet")  # fmt: skip


@pytest.fixture
def folder(monkeypatch, tmp_path):
    """An empty folder to be in, on a machine set to London and English."""
    here = tmp_path / "stalls"
    here.mkdir()
    monkeypatch.chdir(here)
    for name in ("CACHE", "STATE", "DATA"):
        monkeypatch.setenv(f"XDG_{name}_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("TZ", "Europe/London")
    monkeypatch.setenv("LC_ALL", "C.UTF-8")
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("TERM", "xterm")
    return here


def new(*words, typed=""):
    """The command in a script, with these lines on its standard input."""
    result = CliRunner().invoke(app, ["new", *map(str, words)], input=typed)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert "Traceback" not in result.output
    return result


def files(folder):
    return sorted(path.name for path in folder.iterdir())


def test_six_answers_become_a_file_that_check_and_plan_accept(folder):
    shown = new(
        typed="The Night Kettle, Marl Green\nOld Ember\nEnglish, London\n"
        "13 Feb 2027 10-17, 14 Feb 2027 10-16\nFrost Bells 4:30, Jig 7 min\nlunch 13-13:30\n"
    )
    assert shown.exit_code == 0, shown.output
    assert [line in shown.output for line in ASKED] == [True] * 6
    assert files(folder) == ["night-kettle.yaml"]
    stall = load_stall(folder / "night-kettle.yaml")
    assert (stall.signboard.stall, stall.signboard.figure) == ("The Night Kettle", "Old Ember")
    assert [str(day.date) for day in stall.days] == ["2027-02-13", "2027-02-14"]
    assert [piece.lasts for piece in stall.days[0].pieces] == [
        timedelta(minutes=4.5),
        timedelta(minutes=7),
    ]
    for command in ("check", "plan"):
        accepted = CliRunner().invoke(app, [command, "night-kettle.yaml"])
        assert accepted.exit_code == 0, accepted.output
        assert accepted.output.strip()


def test_every_default_at_once_is_a_whole_stall(folder):
    shown = new("--yes")
    assert shown.exit_code == 0, shown.output
    assert "/6" not in shown.output
    assert files(folder) == ["copper-pump.yaml"]
    for command in ("check", "plan"):
        assert CliRunner().invoke(app, [command, "copper-pump.yaml"]).exit_code == 0


def test_it_says_which_three_commands_come_next_and_they_work(folder):
    shown = new("my stall.yaml", "--yes")
    commands = [line.strip() for line in shown.output.splitlines() if line.startswith("  showtime")]
    assert [shlex.split(command)[1] for command in commands] == ["check", "plan", "run"]
    assert all("my stall.yaml" in shlex.split(command) for command in commands)
    for command in commands[:2]:
        assert CliRunner().invoke(app, shlex.split(command)[1:]).exit_code == 0
    as_if = shlex.split(commands[2])[-1]
    asked = ["next", "my stall.yaml", "--now", as_if, "--silent"]
    assert CliRunner().invoke(app, asked).exit_code == 0


def test_the_file_explains_itself(folder):
    new("a.yaml", "--yes")
    text = Path("a.yaml").read_text("utf-8")
    for block in ("neighbours", "body", "wishes", "calls", "voice", "inputs", "controller"):
        assert f"# {block}:" in text
    assert max(map(len, text.splitlines())) <= 100


def test_options_answer_questions_so_that_only_the_others_are_asked(folder):
    shown = new(
        "--stall", "Tin Hen", "--figure", "Peg", "--speaks", "German, Berlin",
        "--days", "13 Feb 2027 10-17", "--pieces", "Cluck 2:30", typed="none\n",
    )  # fmt: skip
    assert shown.exit_code == 0, shown.output
    assert [line in shown.output for line in ASKED] == [False] * 5 + [True]
    stall = load_stall(folder / "tin-hen.yaml")
    assert stall.signboard.timezone.key == "Europe/Berlin"
    assert stall.days[0].quiet == ()


@pytest.mark.parametrize(
    ("option", "typed", "why"),
    [
        ("--days", "13 Feb 2027 10-25", "'25' is no time of day"),
        ("--days", "28 mar 2027 1:30-5", "the clocks go forward"),
        ("--pieces", "Bells", "how long is Bells?"),
        ("--pieces", "Bells 20 h", "longer than any day"),
        ("--speaks", "Germn", "did you mean German?"),
        ("--quiet", "lunch", "from when to when"),
        ("--figure", "x" * 250, "longer than 200"),
        ("--stall", "a\ufeffb", "hidden character"),
    ],
)
def test_an_option_that_means_nothing_ends_it_with_one_line_and_no_file(folder, option, typed, why):
    shown = new(option, typed, "--yes")
    assert shown.exit_code == 2
    assert shown.stderr.startswith(f"{option}: ")
    assert why in shown.stderr
    assert len(shown.stderr.splitlines()) == 1
    assert files(folder) == []


def test_a_script_that_ends_early_has_the_defaults_for_the_rest(folder):
    shown = new(typed="Tin Hen\n")
    assert shown.exit_code == 0, shown.output
    assert load_stall(folder / "tin-hen.yaml").signboard.figure == "Orla Tinnock"


def test_a_script_that_answered_wrongly_and_ends_writes_nothing(folder):
    shown = new(typed="Tin Hen\nPeg\nMartian tongue\n\nsat 10-17\nCluck 2\n")
    assert shown.exit_code == 2
    assert "nothing is written" in shown.stderr
    assert files(folder) == []


def test_a_script_may_correct_itself(folder):
    shown = new(typed="Tin Hen\nPeg\nMartian tongue\nEnglish\nsat 10-17\nCluck 2\nnone\n")
    assert shown.exit_code == 0, shown.output
    assert files(folder) == ["tin-hen.yaml"]


def test_bytes_that_are_no_letters_are_no_traceback(folder):
    shown = CliRunner().invoke(app, ["new"], input=b"\xff\xfe\x00\n" * 9)
    assert not shown.exception or isinstance(shown.exception, SystemExit), shown.exception
    assert shown.exit_code in (0, 2)


def test_a_file_that_is_there_stays_as_it_is(folder):
    there = folder / "mine.yaml"
    there.write_text("years of work\n")
    for named in ("mine.yaml", "mine"):
        shown = new(named, "--yes")
        assert (shown.exit_code, "is there already" in shown.stderr) == (2, True)
    assert there.read_text() == "years of work\n"
    assert files(folder) == ["mine.yaml"]


def test_a_link_to_nowhere_counts_as_there(folder):
    (folder / "mine.yaml").symlink_to(folder / "elsewhere.yaml")
    assert new("mine.yaml", "--yes").exit_code == 2
    assert files(folder) == ["mine.yaml"]


def test_a_second_stall_of_the_same_name_has_a_file_of_its_own(folder):
    for _ in range(3):
        assert new("--yes").exit_code == 0
    assert files(folder) == ["copper-pump-2.yaml", "copper-pump-3.yaml", "copper-pump.yaml"]


@pytest.mark.parametrize(
    ("named", "why"),
    [
        ("nowhere/a.yaml", "there is no folder"),
        ("file/a.yaml", "there is no folder"),
        (".", "a folder"),
        ("sub", "a folder"),
        ("x" * 300, "name too long"),
    ],
)
def test_a_place_where_no_file_can_be_is_told_before_anything_is_asked(folder, named, why):
    (folder / "sub").mkdir()
    (folder / "file").touch()
    shown = new(named)
    assert (shown.exit_code, why in shown.stderr) == (2, True), shown.output
    assert ASKED[0] not in shown.output


def test_the_file_can_be_read_by_those_who_may_read_others(folder):
    before = os.umask(0o027)
    try:
        new("a.yaml", "--yes")
    finally:
        os.umask(before)
    assert stat.S_IMODE(Path("a.yaml").stat().st_mode) == 0o640


def test_a_memory_stick_without_second_names_gets_its_file_too(folder, monkeypatch):
    def refused(*_):
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refused)
    assert new("a.yaml", "--yes").exit_code == 0
    assert files(folder) == ["a.yaml"]
    assert load_stall(Path("a.yaml")).signboard.stall == "The Copper Pump"


def test_a_file_that_comes_meanwhile_is_not_written_over(folder, monkeypatch):
    link = os.link

    def somebody_else_first(one, other):
        Path(other).write_text("theirs\n")
        link(one, other)

    monkeypatch.setattr(os, "link", somebody_else_first)
    shown = new("a.yaml", "--yes")
    assert (shown.exit_code, "stays as it is" in shown.stderr) == (2, True)
    assert Path("a.yaml").read_text() == "theirs\n"
    assert files(folder) == ["a.yaml"]


def test_a_full_disk_leaves_no_half_file(folder, monkeypatch):
    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    shown = new("a.yaml", "--yes")
    assert shown.exit_code == 2
    assert "a.yaml: cannot be written (No space left on device)" in shown.stderr
    assert files(folder) == []


def test_a_full_memory_stick_is_left_without_half_a_file(folder, monkeypatch):
    class Full(io.TextIOWrapper):
        def write(self, text):
            raise OSError(28, "No space left on device")

    def full(self, mode="r", **more):
        if self.name.startswith(".") or mode != "x":
            return opens(self, mode, **more)
        return Full(opens(self, "xb"), encoding="utf-8")

    def refused(*_):
        raise PermissionError(1, "Operation not permitted")

    opens = Path.open
    monkeypatch.setattr(os, "link", refused)
    monkeypatch.setattr(Path, "open", full)
    shown = new("a.yaml", "--yes")
    assert (shown.exit_code, "No space left" in shown.stderr) == (2, True)
    assert files(folder) == []


def test_a_machine_without_room_to_try_settings_out_says_so(folder, monkeypatch):
    monkeypatch.setattr(tempfile, "tempdir", str(folder / "nowhere"))
    shown = new("a.yaml", "--yes")
    assert (shown.exit_code, "cannot be tried out there" in shown.stderr) == (2, True)
    assert files(folder) == []


@pytest.mark.parametrize("zone", ["Nowhere/Land", "", ":::", "../../etc/passwd", "UTC"])
def test_a_machine_that_does_not_know_its_zone_is_asked_about_all_the_same(
    folder, monkeypatch, zone
):
    monkeypatch.setenv("TZ", zone)
    shown = new("a.yaml", "--yes")
    assert shown.exit_code == 0, shown.output
    assert "where it is" in shown.output
