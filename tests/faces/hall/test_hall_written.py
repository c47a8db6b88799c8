"""The organiser's folder: all of it, or as it was."""

from __future__ import annotations

from pathlib import Path

import pytest

from showtime.faces.written import WritingError, folder_for, write_all


def test_all_files_are_written_in_folders_that_are_made(tmp_path: Path) -> None:
    write_all({tmp_path / "a" / "b.csv": b"1", tmp_path / "c.html": b"2"})
    assert (tmp_path / "a" / "b.csv").read_bytes() == b"1"
    assert sorted(p.name for p in tmp_path.rglob("*")) == ["a", "b.csv", "c.html"]


def test_when_one_cannot_be_written_none_is_changed(tmp_path: Path) -> None:
    (tmp_path / "first.csv").write_bytes(b"old")
    (tmp_path / "stalls").write_bytes(b"a file where a folder should be")
    with pytest.raises(WritingError, match=r"stalls/x\.ics: cannot be written"):
        write_all({tmp_path / "first.csv": b"new", tmp_path / "stalls" / "x.ics": b"y"})
    assert (tmp_path / "first.csv").read_bytes() == b"old"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["first.csv", "stalls"]


def test_a_folder_where_a_file_belongs_is_named(tmp_path: Path) -> None:
    (tmp_path / "hall.html").mkdir()
    with pytest.raises(WritingError, match=r"hall\.html: a folder"):
        write_all({tmp_path / "a": b"", tmp_path / "hall.html": b""})
    assert [p.name for p in tmp_path.iterdir()] == ["hall.html"]


def test_a_folder_is_tried_before_anything_is_made_for_it(tmp_path: Path) -> None:
    folder_for(tmp_path / "new" / "one")
    assert list((tmp_path / "new" / "one").iterdir()) == []
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(WritingError, match="this is a file"):
        folder_for(tmp_path / "file")
    with pytest.raises(WritingError, match="nothing can be written there"):
        folder_for(tmp_path / "file" / "below")
