"""The maker writes a phrase bank and hears each save, whatever the editor does to the file."""

import os
import threading
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from pathlib import Path
from random import Random

import pytest

from showtime.faces.preview import LOOKING, MISSING, SETTLED, Telling, preview
from showtime.fair import Stall
from showtime.live import Desk
from showtime.settings import shipped
from showtime.wording import Sentence

Act = Callable[[], object]


class Evening:
    """A clock under which the maker acts between two looks at the file, and then goes home."""

    def __init__(self, acts: Iterable[Act], while_settling: Iterable[Act] = ()) -> None:
        self._acts = list(acts)
        self._while_settling = list(while_settling)

    def now(self) -> datetime:
        return datetime(2027, 2, 12, 20, tzinfo=UTC)

    def monotonic(self) -> float:
        return 0.0

    def wait(self, stop: threading.Event, seconds: float) -> bool:
        acts = self._acts if seconds == LOOKING else self._while_settling
        if acts:
            acts.pop(0)()
        elif seconds == LOOKING:
            stop.set()
        return stop.is_set()


@pytest.fixture
def good() -> str:
    return shipped("phrasebanks/en.yaml").read_text("utf-8")


@pytest.fixture
def file(tmp_path: Path, good: str) -> Path:
    path = tmp_path / "en.yaml"
    path.write_text(good, "utf-8")
    return path


def nothing() -> None:
    """The maker thinks."""


def seen(stall: Stall, file: Path, clock: Evening) -> tuple[list[str], list[str], list[Sentence]]:
    """The sentences shown, the complaints, and what was said aloud, in an evening at the file."""
    desk = Desk(stall, file.parent, clock)
    shown: list[str] = []
    wrong: list[str] = []
    said: list[Sentence] = []
    telling = Telling(shown.append, wrong.append, said.append)
    situation = desk.situation("next", "14:30", "")
    preview(desk, file, situation, Random(4), telling, threading.Event())
    return shown, wrong, said


def test_each_save_says_a_new_sentence(tin_orchard: Stall, file: Path, good: str) -> None:
    saves = [lambda n=n: file.write_text(good + "# more\n" * n, "utf-8") for n in range(1, 6)]
    shown, wrong, said = seen(tin_orchard, file, Evening([nothing, *saves, nothing, nothing]))
    assert len(set(shown)) == len(shown) == 6
    assert [sentence.text for sentence in said] == shown
    assert wrong == []


def test_an_editor_may_replace_the_file(tin_orchard: Stall, file: Path, good: str) -> None:
    def replaced() -> None:
        fresh = file.with_suffix(".new")
        fresh.write_text(good, "utf-8")
        os.utime(fresh, ns=(file.stat().st_atime_ns, file.stat().st_mtime_ns))
        fresh.replace(file)

    shown, wrong, _ = seen(tin_orchard, file, Evening([replaced, nothing, replaced]))
    assert len(shown) == 3
    assert wrong == []


def test_an_editor_may_take_the_file_away_for_a_moment(
    tin_orchard: Stall, file: Path, good: str
) -> None:
    acts = [file.unlink, *[nothing] * (MISSING - 3), lambda: file.write_text(good + "#", "utf-8")]
    shown, wrong, _ = seen(tin_orchard, file, Evening(acts))
    assert len(shown) == 2
    assert wrong == []


def test_a_file_that_is_gone_is_waited_for(tin_orchard: Stall, file: Path, good: str) -> None:
    acts = [file.unlink, *[nothing] * 3 * MISSING, lambda: file.write_text(good, "utf-8")]
    shown, wrong, _ = seen(tin_orchard, file, Evening(acts))
    assert len(shown) == 2
    assert wrong == [f"{file}:1:1: there is no such file; waiting for it"]


def test_a_file_that_is_not_there_yet_is_waited_for(
    tin_orchard: Stall, tmp_path: Path, good: str
) -> None:
    file = tmp_path / "new.yaml"
    acts = [*[nothing] * 20, lambda: file.write_text(good, "utf-8")]
    shown, wrong, _ = seen(tin_orchard, file, Evening(acts))
    assert len(shown) == 1
    assert wrong == [f"{file}:1:1: there is no such file; waiting for it"]


def test_a_file_that_is_being_written_is_not_read_by_halves(
    tin_orchard: Stall, file: Path, good: str
) -> None:
    def half() -> None:
        file.write_text(good[:900], "utf-8")

    def whole() -> None:
        file.write_text(good + "#\n", "utf-8")

    assert SETTLED < LOOKING
    shown, wrong, _ = seen(tin_orchard, file, Evening([half, nothing], [nothing, whole]))
    assert len(shown) == 2
    assert wrong == []


def test_problems_are_told_where_they_stand_and_the_next_save_is_heard(
    tin_orchard: Stall, file: Path, good: str
) -> None:
    broken = good.replace("<next_one> <begins> <when>.", "<next_on> (<begins> <when>.", 1)
    bytes_only = [
        lambda: file.write_text(broken, "utf-8"),
        lambda: file.write_bytes(b"\xff\xfe\x00"),
        lambda: (file.unlink(), file.mkdir()),
        lambda: (file.rmdir(), file.write_text(good, "utf-8")),
    ]
    shown, wrong, _ = seen(tin_orchard, file, Evening(bytes_only))
    assert len(shown) == 2
    line = next(n for n, text in enumerate(broken.split("\n"), start=1) if "<next_on> " in text)
    column = broken.split("\n")[line - 1].index("(<begins>") + 1
    assert wrong[0].startswith(f"{file}:{line}:{column}: this ( is never closed")
    assert f"{file}:1:1: cannot read the phrase bank" in wrong[1]
    assert f"{file}:1:1: cannot read the phrase bank" in wrong[2]
    assert len(wrong) == 3


def test_what_is_odd_is_said_beside_the_sentence(tin_orchard: Stall, file: Path, good: str) -> None:
    file.write_text(good.replace("rules:\n", "rules:\n  idle: never\n", 1), "utf-8")
    shown, wrong, _ = seen(tin_orchard, file, Evening([]))
    assert len(shown) == 1
    (warning,) = wrong
    assert "no template uses the rule <idle>" in warning


def test_a_file_that_stays_as_it_is_stays_unsaid(tin_orchard: Stall, file: Path) -> None:
    shown, _, _ = seen(tin_orchard, file, Evening([nothing] * 50))
    assert len(shown) == 1
