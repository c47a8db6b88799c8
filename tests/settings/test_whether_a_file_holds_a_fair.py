"""For commands that take a stall's file or a fair's: which of them it is."""

from __future__ import annotations

from pathlib import Path

import pytest

from showtime.settings import is_fair, shipped


@pytest.mark.parametrize(
    ("text", "is_one"),
    [
        ("fair: x\nstalls:\n  - {file: a.yaml}\n", True),
        ("fair: x\ntogether: []\n", True),
        ("fair: x\n'noise': []\n", True),
        ('"stalls" : []\n', True),
        ("{fair: x, stalls: []}", True),
        ("  fair: x\n  stalls: []\n", True),
        ("\ufefffair: x\r\nstalls: []\r\n", True),
        ("stall: x\nfigure: y\npieces: []\n", False),
        ("stall: x\npieces: []\ncaps:\n  - {performances: 4, stalls: [x]}\n", False),
        ("stall: x\npieces: []\ntogether: a slip\n", False),
        ("stall: x\n# stalls: none\n", False),
        ("stall: x\nfigure: the stalls: all\n", False),
        ("fair: x\ndays: []\n", False),
        ("", False),
        ("- stalls\n", False),
        ("stalls", False),
        ("[stalls: x", False),
        ("a: [\nstalls: x", True),
    ],
)
def test_its_keys_tell(tmp_path: Path, text: str, is_one: bool) -> None:
    path = tmp_path / "some.yaml"
    path.write_text(text, encoding="utf-8", newline="")
    assert is_fair(path) is is_one


def test_what_comes_with_the_product() -> None:
    assert is_fair(shipped("config/osierholt-fair.yaml"))
    assert not is_fair(shipped("config/tin-orchard.yaml"))
    assert not is_fair(shipped("config/recitals.ics"))


def test_what_cannot_be_read_is_none(tmp_path: Path) -> None:
    (tmp_path / "binary.yaml").write_bytes(b"stalls:\0\xff")
    for path in (tmp_path / "gone.yaml", tmp_path, tmp_path / "binary.yaml"):
        assert not is_fair(path)
