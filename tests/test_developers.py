"""DEVELOPERS.md is true."""

from __future__ import annotations

import re

import grimp

from showtime.live.state import TRANSITIONS

ROOMS = (
    "cli",
    "faces",
    "triggers",
    "figure",
    "fairnet",
    "live",
    "planning",
    "wording",
    "voice",
    "settings",
    "fair",
)


def test_the_drawing_of_the_rooms_is_what_they_import(top):
    text = (top / "DEVELOPERS.md").read_text("utf-8")
    drawn = {
        room: set(filter(None, re.split(r",\s*", below.strip())))
        for room, below in re.findall(r"^(\w+) +->(.*)$", text, re.M)
    }
    graph = grimp.build_graph("showtime", cache_dir=None)
    real = {}
    for room in ROOMS:
        inside = {f"showtime.{room}", *graph.find_descendants(f"showtime.{room}")}
        imported = {
            target.split(".")[1]
            for module in inside
            for target in graph.find_modules_directly_imported_by(module)
            if target.startswith("showtime.")
        }
        real[room] = imported - {room}
    assert drawn == real


def test_the_table_of_stages_is_the_one_that_the_fold_uses(top):
    text = (top / "DEVELOPERS.md").read_text("utf-8")
    written = re.findall(r"^\| (\w+) \| ([A-Z]\w+) \| (\w+) \|$", text, re.M)
    real = [(before, kind.__name__, after) for (before, kind), after in TRANSITIONS.items()]
    assert sorted(written) == sorted(real)


def test_the_functions_of_the_flow_are_where_it_says(top):
    text = (top / "DEVELOPERS.md").read_text("utf-8")
    rows = re.findall(r"^\| \w+ \| `(?:\w+\.)?(\w+)\(.*\| (showtime/\S+) \|$", text, re.M)
    assert len(rows) == 7
    for function, file in rows:
        assert f"def {function}(" in (top / file).read_text("utf-8"), file
