"""Every check against something that is not ours is listed, with its source and how it was had."""

from __future__ import annotations

import ast
import re
from importlib.util import find_spec
from pathlib import Path

import pytest

WAYS = {
    "read in the source", "read as quoted", "from memory", "run beside",
    "worked out in the test", "common practice",
}  # fmt: skip
FROM_MEMORY = re.compile(r"from\s+memory|\(memory\)", re.IGNORECASE)


def rows(top):
    """The tables' rows below their heads: the file, what it checks, its source, how it was had."""
    text = (top / "tests" / "outside" / "README.md").read_text("utf-8")
    lines = [line for line in text.splitlines() if line.startswith("| ")]
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines]
    return [row for row in cells if row[0] != "file" and not set(row[0]) <= set("- ")]


def path_of(top, name):
    return top / name if "/" in name else top / "tests" / "outside" / name


def docstring(path):
    return one_line(ast.get_docstring(ast.parse(path.read_text("utf-8"))) or "")


def one_line(text):
    return " ".join(text.split())


def files():
    return sorted(path.name for path in (Path(__file__).parent / "outside").glob("test_*.py"))


def test_the_ways_are_those_that_it_explains(top):
    text = (top / "tests" / "outside" / "README.md").read_text("utf-8")
    assert set(re.findall(r"^- \*([a-z ]+)\*:", text, re.M)) == WAYS


def test_each_row_is_whole_and_its_file_is_there(top):
    assert len(rows(top)) > 60
    for row in rows(top):
        assert len(row) == 4 and all(row), row
        assert path_of(top, row[0]).is_file(), row[0]
        assert row[3].split(":")[0] in WAYS, row
    assert len({tuple(row) for row in rows(top)}) == len(rows(top))


@pytest.mark.parametrize("name", files())
def test_each_file_is_listed_and_its_docstring_names_its_sources(top, name):
    sources = [row[2] for row in rows(top) if row[0] == name]
    assert sources, (
        f"{name} is not in tests/outside/README.md: add a row with what it checks, its source with"
        f" the name in **bold** as its docstring has it, and how it was had"
    )
    told = docstring(path_of(top, name))
    for source in sources:
        names = re.findall(r"\*\*([^*]+)\*\*", source)
        assert names, f"{name}: nothing is bold in '{source}'"
        for each in names:
            assert each in told, f"the docstring of {name} does not name {each}"


@pytest.mark.parametrize("name", files())
def test_what_comes_from_memory_says_so_in_both_places(top, name):
    listed = any(row[0] == name and row[3] == "from memory" for row in rows(top))
    told = bool(FROM_MEMORY.search(path_of(top, name).read_text("utf-8")))
    assert listed == told, f"{name} and tests/outside/README.md differ in what is from memory"


def test_what_runs_beside_is_installed_and_used_there(top):
    shared = (top / "tests" / "outside" / "conftest.py").read_text("utf-8")
    for name, _, _, how in rows(top):
        programs = re.findall(r"`([\w.]+)`", how)
        assert bool(programs) == how.startswith("run beside"), (name, how)
        text = path_of(top, name).read_text("utf-8")
        for program in programs:
            assert find_spec(program), f"{name}: {program} is not installed"
            assert program.lower() in f"{text}{shared}".lower(), f"{name} does not use {program}"
