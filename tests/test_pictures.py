"""README's pictures show the faces as they are, and are there for everybody."""

from __future__ import annotations

import re
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


def test_a_changed_face_is_noticed_and_the_way_to_mend_it_named(top, tmp_path):
    """The same pictures, with the sum of one that is of another day."""
    copy = tmp_path / "tests" / "pictures"
    copy.mkdir(parents=True)
    for file in (top / "tests" / "pictures").glob("*.py"):
        (copy / file.name).write_text(file.read_text("utf-8"), "utf-8")
    (tmp_path / ".pictures").mkdir()
    for name in ("plan.json", "shown.json"):
        text = (top / ".pictures" / name).read_text("utf-8")
        changed = re.sub(r'"bill": "\w{8}', '"bill": "00000000', text)
        (tmp_path / ".pictures" / name).write_text(changed, "utf-8")
    found = run(tmp_path, "--stale")
    assert found.returncode == 1, found.stderr
    assert found.stdout.startswith("bill: ")
    assert "python -m tests.pictures" in found.stdout
