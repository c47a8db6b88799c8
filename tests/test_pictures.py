"""README's pictures show the faces as they are, and are there for everybody."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image

SHOWN = re.compile(r"!\[([^\]]*)\]\((\.pictures/[^)]+)\)")


@pytest.fixture(scope="module")
def in_readme(top: Path) -> dict[str, str]:
    """The pictures that README shows, and what is said of each to those who cannot see it."""
    found = SHOWN.findall((top / "README.md").read_text("utf-8"))
    return {name: words for words, name in found}


@pytest.fixture(scope="module")
def kept(top: Path) -> list[Path]:
    return sorted((top / ".pictures").glob("*.png"))


def run(top: Path, *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "tests.pictures", *words]
    return subprocess.run(command, cwd=top, capture_output=True, text=True, timeout=120)


def test_no_face_has_changed_since_its_picture_was_taken(top):
    found = run(top, "--stale")
    assert found.returncode == 0, found.stdout + found.stderr


def test_the_plan_that_they_show_breaks_no_rule(top):
    command = [sys.executable, "-m", "showtime", "check", "--json"]
    command += ["--plan", str(top / ".pictures" / "plan.json"), "config/tin-orchard.yaml"]
    found = subprocess.run(command, cwd=top, capture_output=True, text=True, timeout=120)
    assert found.returncode == 0, found.stdout + found.stderr


def test_readme_shows_each_picture_and_none_that_is_not_there(top, in_readme, kept):
    assert sorted(in_readme) == [f".pictures/{file.name}" for file in kept]
    assert len(kept) >= 7


def test_each_picture_is_told_in_words(in_readme):
    for name, words in in_readme.items():
        assert 40 <= len(words) <= 200, f"{name}: {words}"
    assert len(set(in_readme.values())) == len(in_readme)


def test_pictures_are_light_and_show_something(kept):
    for file in kept:
        assert file.stat().st_size < 150_000, file.name
        with Image.open(file) as picture:
            picture.verify()
        with Image.open(file) as picture:
            inks = picture.convert("RGB").getcolors(1 << 24)
            assert picture.width >= 390 and len(inks) > 8, f"{file.name} is blank"
    assert sum(file.stat().st_size for file in kept) < 1_000_000


def test_the_plan_that_they_show_is_as_good_as_the_one_proven_today(top, saturday_plan):
    shown = json.loads((top / ".pictures" / "plan.json").read_text("utf-8"))["levels"]
    assert [(each["name"], each["proven"]) for each in shown] == [
        (level.name.value, True) for level in saturday_plan.levels
    ]
    assert [each["value"] for each in shown] == pytest.approx(
        [level.value for level in saturday_plan.levels], rel=1e-6
    )


@pytest.fixture
def copy(top: Path, tmp_path: Path) -> Path:
    """A folder with the command and the sums of the pictures, and none of the pictures."""
    shutil.copytree(top / "tests" / "pictures", tmp_path / "tests" / "pictures")
    (tmp_path / ".pictures").mkdir()
    for name in ("plan.json", "shown.json"):
        shutil.copy(top / ".pictures" / name, tmp_path / ".pictures")
    return tmp_path


def forget(copy: Path, *names: str) -> None:
    """As if these had been taken of other faces."""
    sums = copy / ".pictures" / "shown.json"
    kept = json.loads(sums.read_text("utf-8"))
    sums.write_text(json.dumps(kept | dict.fromkeys(names, "of another day")), "utf-8")


def test_a_changed_face_is_noticed_and_the_way_to_mend_it_named(copy):
    forget(copy, "bill")
    found = run(copy, "--stale")
    assert found.returncode == 1, found.stderr
    assert found.stdout == (
        "bill: changed since its picture was taken; run: python -m tests.pictures\n"
    )


def test_without_a_browser_paper_is_pictured_and_the_rest_stays_known_as_old(
    copy, monkeypatch, tmp_path
):
    forget(copy, "bill", "board")
    monkeypatch.setenv("PATH", str(tmp_path))
    made = run(copy)
    assert made.returncode == 0, made.stderr
    assert "left as it was, for want of a chromium: board\n" in made.stdout
    assert {file.name for file in (copy / ".pictures").glob("*.png")} == {
        "bill.png",
        "neighbour.png",
    }
    assert run(copy, "--stale").stdout.startswith("board: changed")


def test_a_misspelt_word_makes_no_pictures(copy):
    found = run(copy, "--stal")
    assert found.returncode == 2 and "--stale" in found.stdout
    assert not list((copy / ".pictures").glob("*.png"))
