"""The command contract: what each command prints as JSON, how it exits, and that it never shows a
traceback."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import wave
from datetime import datetime

import pytest


@pytest.fixture(scope="module")
def showtime(tmp_path_factory):
    """Runs a command as a person would, in a folder of its own."""
    home = tmp_path_factory.mktemp("home")

    def run(*words, folder=None):
        return subprocess.run(
            [sys.executable, "-m", "showtime", *map(str, words)],
            cwd=folder or home,
            env={
                "PATH": os.environ["PATH"],
                "HOME": str(home),
                "PYTHONPATH": os.pathsep.join(sys.path),
                "LANG": "C.UTF-8",
                "SHOWTIME_SOUND_CARD": "null",
            },
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )

    return run


def document(result, code=0):
    assert result.returncode == code, result.stderr
    return json.loads(result.stdout)


def test_plan_tells_the_day_its_performances_and_how_good_it_is(showtime):
    plan = document(showtime("plan", "--json"))
    assert {"day", "stall", "performances", "levels", "seconds"} <= plan.keys()
    assert {"mean_wait_minutes", "longest_wait_minutes"} <= plan.keys()
    assert plan["day"] == "2027-02-13"
    assert [level["name"] for level in plan["levels"]] == [
        "performances", "wait", "round_times", "even_pieces",
    ]  # fmt: skip
    assert all(level["proven"] for level in plan["levels"])
    for each in plan["performances"]:
        starts = datetime.fromisoformat(each["starts"])
        assert starts.tzinfo is not None
        assert datetime.fromisoformat(each["ends"]) > starts


def test_the_other_day_is_planned_when_asked_for(showtime):
    assert document(showtime("plan", "--json", "--day", "2027-02-14"))["day"] == "2027-02-14"


def test_the_planners_own_plan_passes_the_check_and_a_spoilt_one_does_not(showtime, tmp_path):
    plan = document(showtime("plan", "--json"))
    good, bad = tmp_path / "good.json", tmp_path / "bad.json"
    good.write_text(json.dumps(plan))
    assert document(showtime("check", "--plan", good, "--json")) == {"broken": []}
    plan["performances"][1]["starts"] = "2027-02-13T11:31:00+00:00"
    bad.write_text(json.dumps(plan))
    broken = document(showtime("check", "--plan", bad, "--json"), 1)["broken"]
    assert {"quiet", "grid"} <= {each["rule"] for each in broken}
    assert all({"rule", "why", "at"} <= each.keys() for each in broken)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "3",
        "[" * 100_000,
        '{"performances": 1}',
        '{"performances": [{"starts": 1, "piece": "Frost Bells"}]}',
        '{"performances": [{"starts": "9999-12-31T23:59", "piece": "Frost Bells"}]}',
        '{"performances": [{"piece": "Frost Bells"}]}',
        '{"performances": [7]}',
    ],
)
def test_a_file_that_is_no_plan_is_told_with_its_place(showtime, tmp_path, text):
    file = tmp_path / "plan.json"
    file.write_text(text)
    result = showtime("check", "--plan", file)
    assert result.returncode == 2
    assert f"{file}:1:" in result.stderr
    assert "Traceback" not in result.stderr


def test_why_tells_every_rule_that_stands_in_the_way(showtime):
    found = document(showtime("why", "11:45", "--json"), 1)
    assert found["allowed"] is False
    assert "quiet" in {reason["rule"] for reason in found["reasons"]}
    assert all({"rule", "why"} <= reason.keys() for reason in found["reasons"])
    assert found["at"] == "2027-02-13T11:45:00+00:00"


def test_a_planned_start_is_allowed(showtime):
    first = document(showtime("plan", "--json"))["performances"][0]
    clock = datetime.fromisoformat(first["starts"]).strftime("%H:%M")
    assert document(showtime("why", clock, "--json"))["allowed"] is True


def test_next_tells_the_plans_next_start(showtime):
    plan = document(showtime("plan", "--json"))
    coming = [p["starts"] for p in plan["performances"] if p["starts"] > "2027-02-13T14:12"]
    said = document(showtime("next", "--now", "2027-02-13T14:12", "--silent", "--json"))
    assert said["situation"] == "next"
    assert said["at"] == min(coming)
    assert said["language"] == "en"
    assert said["sentence"]


def test_next_does_not_repeat_itself(showtime):
    words = ["next", "--now", "2027-02-13T14:12", "--silent"]
    said = [showtime(*words).stdout for _ in range(4)]
    assert len(set(said)) == 4


def test_next_with_a_seed_says_the_same_again(showtime):
    words = ["next", "--now", "2027-02-13T14:12", "--silent", "--seed", "5"]
    assert showtime(*words).stdout == showtime(*words).stdout


@pytest.mark.parametrize(
    ("now", "situation"),
    [
        ("2027-02-13T09:40", "not_open"),
        ("2027-02-12T20:00", "tomorrow"),
        ("2027-02-01T12:00", "tomorrow"),
        ("2027-02-13T16:59", "tomorrow"),
        ("2027-02-14T15:59", "none_left"),
        ("2027-03-20T12:00", "none_left"),
    ],
)
def test_next_answers_at_any_moment(showtime, now, situation):
    said = document(showtime("next", "--now", now, "--silent", "--json"))
    assert said["situation"] == situation


def test_next_writes_what_it_says_to_a_sound_file(showtime, tmp_path):
    file = tmp_path / "next.wav"
    assert showtime("next", "--now", "2027-02-13T14:12", "--wav", file).returncode == 0
    with wave.open(str(file)) as sound:
        assert (sound.getframerate(), sound.getnchannels(), sound.getsampwidth()) == (22050, 1, 2)
        assert sound.getnframes() > 22050


def test_next_speaks_and_ends(showtime):
    said = showtime("next", "--now", "2027-02-13T14:12")
    assert (said.returncode, said.stderr) == (0, "")


def test_phrases_counts_and_shows_sentences(showtime):
    found = document(
        showtime("phrases", "--situation", "next", "--at", "14:30", "--limit", 7, "--json")
    )
    assert {"language", "situation", "distinct", "sentences", "times"} <= found.keys()
    assert found["distinct"] >= 1000
    assert len(set(found["sentences"])) == 7


def test_phrases_tells_every_minute_of_the_day(showtime):
    found = document(showtime("phrases", "--times", "--json"))
    assert found["language"] == "en"
    assert len(found["times"]) == 1440
    assert "half past two" in found["times"]["14:30"]
    assert all(found["times"].values())


def test_a_rehearsed_day_keeps_its_word(showtime):
    found = document(showtime("rehearse", "--seed", 3, "--json"))
    keys = {"performances", "asked", "promises", "kept", "apologised", "broken_rules", "seconds"}
    assert keys <= found.keys()
    assert found["broken_rules"] == 0
    assert found["kept"] > 0


def test_the_schema_is_a_json_schema(showtime):
    found = document(showtime("schema"))
    assert found["$schema"].startswith("https://json-schema.org/")


def test_check_tells_all_problems_at_once_and_exits_2(showtime, tmp_path):
    file = tmp_path / "stall.yaml"
    file.write_text("stall: Mine\npeices: []\ngap: 6\n")
    result = showtime("check", file, "--json")
    problems = json.loads(result.stdout)["problems"]
    assert result.returncode == 2
    assert len(problems) == len(result.stderr.splitlines()) > 2
    assert f"{file}:2:1: " in result.stderr
    assert "pieces" in result.stderr


def test_a_clash_of_fixed_performances_is_named_with_its_places(showtime, tmp_path, top):
    text = (top / "config" / "tin-orchard.yaml").read_text("utf-8")
    fixed = "{at: 15:30, piece: The Pear Dance, why: the judges come by}"
    both = f"{fixed}, {{at: 15:35, piece: Frost Bells}}"
    file = tmp_path / "stall.yaml"
    file.write_text(text.replace(fixed, both).replace("organiser: ", "# organiser: "))
    (tmp_path / "recitals.ics").write_text((top / "config" / "recitals.ics").read_text())
    for command in ("plan", "check"):
        result = showtime(command, file)
        assert result.returncode == 1, result.stderr
        assert f"{file}:" in result.stderr
        assert "clash" in result.stderr
    assert document(showtime("plan", file, "--json"), 1)["clash"]


@pytest.mark.parametrize(
    "words",
    [
        ["plan", "there-is-none.yaml"],
        ["plan", "--day", "2027-02-30"],
        ["plan", "--day", "2027-03-01"],
        ["why", "25:00"],
        ["why", "soon"],
        ["why", "14:30", "--piece", "The Pear Danse"],
        ["next", "--now", "yesterday", "--silent"],
        ["next", "--language", "xx", "--silent"],
        ["phrases", "--situation", "never"],
        ["phrases", "--at", "7"],
        ["run", "--as-if", "2027-02-20T10:00"],
        ["check", "--plan", "there-is-none.json"],
        ["plan", "--limit", "-3"],
        ["fly"],
    ],
)
def test_wrong_input_is_a_line_and_exit_2(showtime, words):
    result = showtime(*words)
    assert result.returncode == 2
    assert result.stderr.strip()
    assert "Traceback" not in result.stderr
    assert not result.stdout


def test_a_reader_that_goes_away_is_no_fault(showtime):
    command = f"{sys.executable} -m showtime phrases --times | head -1"
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    result = subprocess.run(
        ["bash", "-c", command], env=env, capture_output=True, text=True, timeout=60, check=False
    )
    assert result.stdout.startswith("00:00")
    assert result.stderr == ""


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_shell_completes_commands(showtime, shell):
    shown = showtime("completion", shell)
    assert shown.returncode == 0
    assert "showtime" in shown.stdout


def test_plain_lines_where_the_output_is_no_terminal(showtime, tmp_path):
    command = [sys.executable, "-m", "showtime", "run", "--as-if", "2027-02-13T10:28"]
    day = subprocess.Popen(
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "SHOWTIME_SOUND_CARD": "null", "HOME": str(tmp_path)},
        text=True,
    )
    first = day.stdout.readline()
    day.terminate()
    rest, errors = day.communicate(timeout=20)
    assert "to come: " in first
    assert "\x1b" not in first + rest
    assert "ended" in rest
    assert (day.returncode, errors) == (0, "")
