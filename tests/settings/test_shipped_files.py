"""Where a command finds its settings, and the files that come with the product."""

from __future__ import annotations

from pathlib import Path

import pytest

from showtime.settings import SettingsError, find_config, load_stall, shipped


@pytest.mark.parametrize(
    "name", ["config/tin-orchard.yaml", "config/osierholt-fair.yaml", "config/recitals.ics"]
)
def test_the_demo_comes_with_the_product(name: str) -> None:
    assert shipped(name).is_file()


def test_what_is_given_counts(tmp_path: Path) -> None:
    mine = tmp_path / "mine.yaml"
    mine.write_text("stall: x")
    assert find_config(mine, tmp_path) == mine


def test_what_is_given_must_be_there(tmp_path: Path) -> None:
    with pytest.raises(SettingsError, match=r"mine\.yaml:1:1: there is no such file; give"):
        find_config(tmp_path / "mine.yaml", tmp_path)


def test_else_the_folders_own_stall_counts(tmp_path: Path) -> None:
    own = tmp_path / "config" / "tin-orchard.yaml"
    own.parent.mkdir()
    own.write_text("stall: x")
    assert find_config(None, tmp_path) == own


def test_else_the_demo(tmp_path: Path) -> None:
    found = find_config(None, tmp_path)
    assert found == shipped("config/tin-orchard.yaml")
    assert load_stall(found).signboard.stall == "The Tin Orchard"
