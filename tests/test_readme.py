"""README's commands are the real ones."""

from __future__ import annotations

import re
import shlex

import pytest
from click.testing import CliRunner

from showtime.cli import app


def venv_lines(text):
    return [line for line in text.splitlines() if line.startswith("python3 -m venv")]


def test_readme_begins_with_the_job_and_two_pastable_lines(top):
    text = (top / "README.md").read_text("utf-8")
    assert not text.startswith("#")
    run, test = venv_lines(text)
    assert run.endswith("showtime run --as-if 2027-02-13T10:28")
    assert test.endswith("-m pytest")


def test_the_tests_are_run_by_the_line_that_stands_in_readme(top):
    _, test = venv_lines((top / "README.md").read_text("utf-8"))
    assert venv_lines((top / ".ci" / "run").read_text("utf-8")) == [test]


def desk_commands(top):
    text = (top / "README.md").read_text("utf-8")
    block = text.split("# A day at the desk")[1].split("Each takes")[0]
    return [line.split("#")[0].strip() for line in re.findall(r"^(showtime .*)$", block, re.M)]


@pytest.mark.parametrize("number", range(6))
def test_the_commands_of_the_day_at_the_desk_work(top, number, monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    words = shlex.split(desk_commands(top)[number])[1:]
    result = CliRunner().invoke(app, words)
    assert result.exit_code in (0, 1), result.output
    assert result.output.strip()


def test_every_commands_help_shows_an_example():
    runner = CliRunner()
    names = [name for name in app.commands if name != "voice"]
    assert {"plan", "why", "check", "next", "phrases", "rehearse", "run", "schema"} <= set(names)
    names += [f"voice {name}" for name in app.commands["voice"].commands]
    for name in names:
        shown = runner.invoke(app, [*name.split(), "--help"])
        assert shown.exit_code == 0
        assert f"Example: showtime {name}" in " ".join(shown.output.split()), name


def test_the_visible_top_level_is_the_agreed_one(top):
    visible = {
        path.name
        for path in top.iterdir()
        if not path.name.startswith(".") and path.name not in ("build", "dist", "__pycache__")
    }
    agreed = {"README.md", "DEVELOPERS.md", "pyproject.toml"}
    assert visible == agreed | {"showtime", "phrasebanks", "tests", "config"}
