"""The organiser's commands as they are typed: what they print, how they exit, what they write."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., subprocess.CompletedProcess[str]]

FAIR = """\
fair: The Little Winter Fair
timezone: Europe/London
days:
  - {date: 2027-02-13, opens: 10:00, closes: 12:00}
  - {date: 2027-02-14, opens: 10:00, closes: 11:00}
together:
  - {stalls: 1, within: 4 m}
noise:
  - {level: 70 dBA, in_any: 60 min}
stalls:
  - {file: orchard.yaml, place: {x: 0 m, y: 0 m}}
  - stall: The Lantern Cart
    figure: Wick
    place: {x: 3 m, y: 0 m}
    pieces: [{name: Small Lights, lasts: 5 min, reset: 10 min, level: 66 dBA}]
  - stall: Far & Away / the "Barn"
    figure: Nob
    place: {x: 30 m, y: 0 m}
    pieces: [{name: Straw, lasts: 5 min, reset: 20 min, level: 66 dBA}]
"""
ORCHARD = """\
fair: The Little Winter Fair
stall: The Tin Orchard
figure: Barnaby Rook
languages: [en]
timezone: Europe/London
organiser: fair.yaml
pieces: [{name: Frost Bells, lasts: 5 min, reset: 10 min, level: 70 dBA}]
"""
CART = "The Lantern Cart"


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a fair of three stalls, the first by file."""
    folder = tmp_path_factory.mktemp("fair")
    (folder / "fair.yaml").write_text(FAIR, "utf-8")
    (folder / "orchard.yaml").write_text(ORCHARD, "utf-8")
    return folder


@pytest.fixture(scope="module")
def showtime(place: Path, tmp_path_factory: pytest.TempPathFactory) -> Run:
    """Runs a command as the organiser would, in the fair's folder."""
    home = tmp_path_factory.mktemp("home")

    def run(*words: object) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "showtime", *map(str, words)],
            cwd=place,
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


def document(result: subprocess.CompletedProcess[str], code: int = 0) -> dict[str, Any]:
    assert result.returncode == code, result.stdout + result.stderr
    found: dict[str, Any] = json.loads(result.stdout)
    return found


@pytest.fixture(scope="module")
def planned(showtime: Run) -> dict[str, Any]:
    """The joint plan, with its papers in `out`."""
    return document(showtime("plan", "fair.yaml", "--json", "--out", "out", "--limit", 20))


def test_a_fairs_plan_is_all_stalls_together(planned: dict[str, Any]) -> None:
    assert planned["fair"] == "The Little Winter Fair" and planned["day"] == "2027-02-13"
    names = [each["stall"] for each in planned["stalls"]]
    assert names == ["The Tin Orchard", CART, 'Far & Away / the "Barn"']
    assert {"smallest_share", "jain"} <= planned["fairness"].keys()
    assert all({"name", "value", "bound", "gap", "proven"} <= e.keys() for e in planned["levels"])
    spans = sorted(
        (datetime.fromisoformat(p["starts"]), datetime.fromisoformat(p["ends"]))
        for each in planned["stalls"][:2]
        for p in each["performances"]
    )
    assert len(spans) > 4
    for before, after in zip(spans, spans[1:], strict=False):
        assert before[1] <= after[0]  # the two that stand near each other never sound together


def test_the_papers_are_written_and_told(planned: dict[str, Any], place: Path) -> None:
    files = {Path(name).relative_to("out").as_posix() for name in planned["files"]}
    assert files == {
        *("hall.html", "timetable.html", "timetable.pdf", "timetable.csv"),
        *("fairness.csv", "noise.svg", "hall.ics"),
        *("stalls/The-Tin-Orchard.json", "stalls/The-Tin-Orchard.ics"),
        *("stalls/The-Lantern-Cart.json", "stalls/The-Lantern-Cart.ics"),
        *("stalls/Far-Away-the-Barn.json", "stalls/Far-Away-the-Barn.ics"),
    }
    there = {p.relative_to(place / "out").as_posix() for p in (place / "out").rglob("*.*")}
    assert there == files


def test_a_plan_keeps_every_rule_in_whichever_form_it_is_brought(
    showtime: Run, planned: dict[str, Any], place: Path
) -> None:
    whole = place / "whole.json"
    whole.write_text(json.dumps(planned), "utf-8")
    for brought in (
        [whole],
        ["out/timetable.csv"],
        ["out/stalls"],
        sorted((place / "out" / "stalls").glob("*.json")),
    ):
        found = document(showtime("check", "fair.yaml", "--json", "--plan", *brought))
        assert found["broken"] == [] and len(found["judged"]) == 3


def test_two_stalls_that_planned_alone_are_told_where_they_meet(showtime: Run, place: Path) -> None:
    for name, piece in (("The Tin Orchard", "Frost Bells"), (CART, "Small Lights")):
        times = ("10:00", "10:30") if name == CART else ("10:00", "11:00")
        body = {
            "day": "2027-02-13",
            "stall": name,
            "performances": [{"starts": f"2027-02-13T{t}:00+00:00", "piece": piece} for t in times],
        }
        (place / f"{piece}.json").write_text(json.dumps(body), "utf-8")
    words = ("check", "--hall", "fair.yaml", "--plan", "Frost Bells.json", "Small Lights.json")
    found = document(showtime(*words, "--json"), 1)
    (broken,) = found["broken"]
    assert broken["rule"] == "together" and broken["at"] == "2027-02-13T10:00:00+00:00"
    assert {broken["stall"], *broken["others"]} == {"The Tin Orchard", CART}
    told = showtime(*words)
    assert told.returncode == 1 and told.stdout.startswith("10:00  ")
    assert "The Tin Orchard" in told.stdout and CART in told.stdout


def test_a_stalls_file_with_an_organiser_means_its_fair(
    showtime: Run, planned: dict[str, Any]
) -> None:
    """And asks of that stall when none is named."""
    mine = planned["stalls"][0]["performances"][0]["starts"][11:16]
    found = document(showtime("why", "--hall", mine, "orchard.yaml", "--json"))
    assert found["stall"] == "The Tin Orchard" and found["allowed"]
    nobody = showtime("why", "10:30", "fair.yaml")
    assert nobody.returncode == 2 and "--stall is missing; there are The Tin" in nobody.stderr


def test_a_neighbour_that_stands_in_the_way_is_named(
    showtime: Run, planned: dict[str, Any]
) -> None:
    cart = next(each for each in planned["stalls"] if each["stall"] == CART)
    taken = cart["performances"][0]["starts"][11:16]
    found = document(showtime("why", taken, "fair.yaml", "--stall", "the tin orchard", "--json"), 1)
    assert not found["allowed"]
    (reason,) = [each for each in found["reasons"] if each["rule"] == "together"]
    assert reason["others"] == [CART]
    told = showtime("why", taken, "fair.yaml", "--stall", "The Tin Orchard")
    assert told.returncode == 1 and CART in told.stdout


def test_a_start_that_is_planned_is_allowed(showtime: Run, planned: dict[str, Any]) -> None:
    """Asked of the plan that was made last, not of another as good."""
    for each in planned["stalls"]:
        start = each["performances"][-1]["starts"][11:16]
        document(showtime("why", start, "fair.yaml", "--stall", each["stall"], "--json"))


def test_the_other_day_is_planned_when_it_is_named(showtime: Run) -> None:
    found = document(showtime("plan", "--hall", "fair.yaml", "--day", "2027-02-14", "--json"))
    assert found["day"] == "2027-02-14"
    wrong = showtime("plan", "fair.yaml", "--day", "2027-02-15")
    assert wrong.returncode == 2 and "2027-02-13, 2027-02-14" in wrong.stderr


def test_the_settings_are_checked_with_those_of_every_stall(showtime: Run, place: Path) -> None:
    assert document(showtime("check", "fair.yaml", "--json")) == {"problems": []}
    told = showtime("check", "fair.yaml")
    assert told.returncode == 0 and "in order" in told.stdout and CART in told.stdout
    (place / "broken.yaml").write_text(FAIR.replace("y: 0 m}}", "y: 0 furlongs}}", 1), "utf-8")
    wrong = showtime("check", "broken.yaml", "--json")
    assert wrong.returncode == 2 and "broken.yaml:11:" in wrong.stderr
    assert json.loads(wrong.stdout)["problems"]


NO_PLANS = {
    "spelt.json": ('{"stall": "The Tin Orchrd", "performances": []}', ":1:11: ", "did you mean"),
    "words.txt": ("hello there", ":1:1: ", "not a plan"),
    "cut.json": ('{"stall": ', ":1:11: ", "not JSON"),
    "list.json": ("[1, 2]", ":1:1: ", "not a plan"),
    "none.json": ("", ":1:1: ", "not a plan"),
    "time.csv": (
        "stall;starts;piece\nThe Tin Orchard;half past;Frost Bells\n",
        ":2:1: ",
        "not a moment",
    ),
    "deep.json": (
        '{"stalls": [\n {"stall": "The Lantern Cart", "performances": [\n  {"starts": '
        '"2027-02-13T10:00", "piece": "Small Lights"},\n  {"piece": "Small Lights"}]}]}',
        ":4:",
        "'starts' is missing",
    ),
}


@pytest.mark.parametrize("name", NO_PLANS)
def test_a_file_that_is_no_plan_is_told_with_its_place(
    showtime: Run, place: Path, name: str
) -> None:
    text, where, said = NO_PLANS[name]
    (place / name).write_text(text, "utf-8")
    found = showtime("check", "fair.yaml", "--plan", name)
    assert found.returncode == 2 and found.stdout == ""
    assert f"{name}{where}" in found.stderr and said in found.stderr
    assert "Traceback" not in found.stderr


def test_a_stall_brings_one_plan_and_all_are_of_one_day(showtime: Run, place: Path) -> None:
    for name, day in (("one.json", "2027-02-13"), ("two.json", "2027-02-14")):
        body = {"day": day, "stall": CART, "performances": []}
        (place / name).write_text(json.dumps(body), "utf-8")
    twice = showtime("check", "fair.yaml", "--plan", "one.json", "--plan", "one.json")
    assert twice.returncode == 2 and "has brought a plan already" in twice.stderr
    days = showtime("check", "fair.yaml", "--plan", "one.json", "--plan", "two.json")
    assert days.returncode == 2 and "a day at a time" in days.stderr


def test_what_cannot_be_written_is_told_before_anybody_waits(showtime: Run, place: Path) -> None:
    (place / "taken").write_text("a file", "utf-8")
    found = showtime("plan", "fair.yaml", "--out", "taken")
    assert found.returncode == 2 and "taken: this is a file" in found.stderr
    assert (place / "taken").read_text("utf-8") == "a file"


def test_what_belongs_to_a_fair_alone_says_so_of_a_stall(showtime: Run) -> None:
    for words in (("plan", "--out", "x"), ("why", "14:30", "--stall", "x")):
        found = showtime(*words, "orchard.yaml")
        assert found.returncode == 2 and "--hall" in found.stderr


def test_rules_that_clash_are_an_answer(showtime: Run, place: Path) -> None:
    fixed = "    wishes: {fixed: [{at: 10:00, piece: Straw}, {at: 10:05, piece: Straw}]}\n"
    (place / "clash").mkdir()
    (place / "clash" / "fair.yaml").write_text(FAIR + fixed, "utf-8")
    (place / "clash" / "orchard.yaml").write_text(ORCHARD, "utf-8")
    for words in (("plan", "clash/fair.yaml"), ("check", "clash/fair.yaml")):
        found = document(showtime(*words, "--json"), 1)
        assert {each["stall"] for each in found["clash"]} == {'Far & Away / the "Barn"'}
        told = showtime(*words)
        assert told.returncode == 1 and "clash/fair.yaml:" in told.stderr
