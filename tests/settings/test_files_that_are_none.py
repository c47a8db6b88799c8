"""Files that cannot be settings: not there, too large, no text, in other encodings."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest

from showtime.settings import SettingsError, load_stall


def told(path: Path) -> str:
    with pytest.raises(SettingsError) as caught:
        load_stall(path)
    (problem,) = caught.value.problems
    assert str(problem).startswith(f"{path}:{problem.where.line}:{problem.where.column}: ")
    return f"{problem.where.line}:{problem.where.column}: {problem.message}"


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    assert "1:1: there is no file" in told(tmp_path / "gone.yaml")


def test_a_folder(tmp_path: Path) -> None:
    assert "is a folder; name a file in it" in told(tmp_path)


def test_a_file_below_a_file(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    assert "cannot be read (not a directory)" in told(tmp_path / "file" / "stall.yaml")


def test_a_name_that_no_file_can_have(tmp_path: Path) -> None:
    assert "cannot be read" in told(tmp_path / ("x" * 5000))


def test_a_pipe(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert "is no ordinary file" in told(tmp_path / "pipe")


@pytest.mark.skipif(os.geteuid() == 0, reason="the administrator may read every file")
def test_a_file_that_one_may_not_read(tmp_path: Path) -> None:
    path = tmp_path / "stall.yaml"
    path.write_text("stall: x")
    path.chmod(0)
    assert "cannot be read (permission denied)" in told(path)


def test_a_file_of_2_gb_is_not_even_opened(tmp_path: Path) -> None:
    path = tmp_path / "stall.yaml"
    with path.open("wb") as file:
        file.truncate(2_000_000_000)  # a hole: it takes no room
    assert "is 2000.0 MB large; settings and calendars are text of at most 1 MB" in told(path)


def test_a_calendar_of_2_gb(desk: Any) -> None:
    with (desk.folder / "talks.ics").open("wb") as file:
        file.truncate(2_000_000_000)
    error = desk.complaints(
        desk.changed(("quiet:\n", "quiet:\n  - {why: talks, calendar: ▸talks.ics}\n"))
    )
    assert [problem.where for problem in error.problems] == desk.marks
    assert "of at most 4 MB" in str(error)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "1:1: this file is empty; write keys with values"),
        (b"\n\n# only words\n", "1:1: this file is empty"),
        (b"\xef\xbb\xbf", "1:1: this file is empty"),
        (b"- 1\n- 2\n", "1:1: this file has no keys"),
        (b"just words\n", "1:1: this file has no keys"),
        (b"\x7fELF\x02\x01\x01\0\0\0\0", "1:1: this is no text but a binary file"),
        (b"PK\x03\x04stall: x\0", "1:1: this is no text but a binary file"),
        ("stall: x".encode("utf-16"), "1:1: this is UTF-16; save it as UTF-8"),
        ("stall: x".encode("utf-16-be"), "1:1: this is no text but a binary file"),
        ("# Bude\nstall: Töpfe\n".encode("latin-1"), "2:9: the byte 0xf6 is no UTF-8"),
        ("# Bude\r\nstall: Töpfe\r\n".encode("cp1252"), "2:9: the byte 0xf6 is no UTF-8"),
        (b"stall: \xe4\xb8", "1:8: the byte 0xe4 is no UTF-8"),
        (b"stall: \xed\xa0\x80", "1:8: the byte 0xed is no UTF-8"),
        (b"stall: a\x07b", "1:9: a hidden character (U+0007); delete it"),
    ],
)
def test_a_file_that_is_no_text_in_utf_8(tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "stall.yaml"
    path.write_bytes(content)
    assert told(path).startswith(said)


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_a_utf_8_mark_and_any_line_ends_are_fine(desk: Any, small_stall: str, end: str) -> None:
    path = desk.folder / "stall.yaml"
    path.write_bytes(b"\xef\xbb\xbf" + small_stall.replace("\n", end).encode())
    assert load_stall(path).days[0].where.line == 7
