"""`showtime phrases` as the maker types it: the audit, its picture, and a bank that is watched."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from showtime.settings import shipped
from showtime.wording import Kind
from showtime.wording.proving import TELLS

STALL = str(shipped("config/tin-orchard.yaml"))
BANK = shipped("phrasebanks/en.yaml")
COMMAND = [sys.executable, "-m", "showtime", "phrases", STALL]


def phrases(*words: object, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*COMMAND, *map(str, words)],
        capture_output=True,
        text=True,
        timeout=60,
        env={**os.environ, **environment},
        check=False,
    )


def test_the_audit_is_one_document_and_one_picture(tmp_path: Path) -> None:
    drawn = tmp_path / "words.svg"
    done = phrases("--audit", "--svg", drawn, "--json")
    assert (done.returncode, done.stderr) == (0, "")
    found = json.loads(done.stdout)
    assert found["language"] == "en"
    rows = {(row["situation"], row["tells_a_time"]): row for row in found["situations"]}
    assert set(rows) == {(kind.value, tells) for kind in Kind for tells in TELLS[kind]}
    assert rows["next", True]["distinct"] > 1000
    assert rows["next", True]["repeat_after"]["likely"] > 20
    assert sum(share["by_weight"] for share in rows["next", True]["shares"]) == pytest.approx(
        1, abs=0.01
    )
    moods = {mood["mood"]: mood for mood in rows["next", True]["moods"]}
    assert all(mood["templates"] == mood["reached"] != [] for mood in moods.values())
    assert found["never_reached"] == []
    assert drawn.read_text("utf-8").startswith("<svg")


def test_the_audit_is_the_same_each_time_and_bare_without_colours() -> None:
    first, second = (phrases("--audit", NO_COLOR="1") for _ in range(2))
    assert first.stdout == second.stdout
    assert "\x1b" not in first.stdout
    assert max(map(len, first.stdout.splitlines())) <= 80


def test_a_broken_bank_is_not_audited_but_told_where_it_is_broken(tmp_path: Path) -> None:
    bank = tmp_path / "my.yaml"
    bank.write_text(BANK.read_text("utf-8").replace("at <time>", "at <tiem>", 1), "utf-8")
    done = phrases("--audit", "--bank", bank)
    assert done.returncode == 2
    assert done.stdout == ""
    assert f"{bank}:" in done.stderr
    assert "did you mean <time>?" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    ("words", "what"),
    [
        (["--audit", "--svg", "/none/such/words.svg"], "cannot write the picture"),
        (["--watch", "x.yaml", "--json"], "goes with none of the other forms"),
        (["--mood", "sleepy"], "sleepy"),
    ],
)
def test_what_cannot_be_done_is_told(words: list[str], what: str) -> None:
    done = phrases(*words)
    assert done.returncode == 2
    assert what in done.stderr
    assert "Traceback" not in done.stderr


def test_a_mood_brings_its_sentences() -> None:
    for mood in ("early", "busy", "last"):
        usual, moody = (
            json.loads(phrases("--at", "14:30", "--limit", 0, "--json", *words).stdout)
            for words in ((), ("--mood", mood))
        )
        assert moody["distinct"] > usual["distinct"]


def test_a_bank_is_watched_until_the_maker_stops(tmp_path: Path) -> None:
    bank, out, wrong = (tmp_path / name for name in ("my.yaml", "out", "wrong"))
    bank.write_text(BANK.read_text("utf-8"), "utf-8")
    with out.open("w") as shown, wrong.open("w") as complaints:
        watching = subprocess.Popen(
            [*COMMAND, "--watch", str(bank), "--at", "14:30", "--silent"],
            stdout=shown,
            stderr=complaints,
        )
        try:
            before_long(lambda: len(lines(out)) == 1)
            fresh = bank.with_suffix(".new")
            fresh.write_text(bank.read_text("utf-8") + "# saved\n", "utf-8")
            fresh.replace(bank)
            before_long(lambda: len(lines(out)) == 2)
            bank.write_text("language: en\nsituations: []\n", "utf-8")
            before_long(lambda: any("my.yaml:2:13: " in line for line in lines(wrong)))
            watching.send_signal(signal.SIGINT)
            assert watching.wait(10) == 0
        finally:
            watching.kill()
            watching.wait()
    assert len(set(lines(out))) == 2
    assert all(line.startswith(f"{bank}:2:13: ") for line in lines(wrong))


def lines(file: Path) -> list[str]:
    return file.read_text("utf-8").splitlines()


def before_long(happened: Callable[[], bool]) -> None:
    ends = time.monotonic() + 20
    while not happened():
        assert time.monotonic() < ends
        time.sleep(0.05)
