"""The maker's evening at the command line: a script, a recording, what is missing, a voice."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from showtime.cli import app
from showtime.voice import EmbeddedVoice, write_wav
from showtime.voice.recorded import read_out

ONLY = ("--situation", "clock_unset")


def run(*words: object) -> Result:
    result = CliRunner().invoke(app, ["voice", *map(str, words)])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


@pytest.fixture
def script(tmp_path: Path) -> Path:
    path = tmp_path / "script.txt"
    assert run("script", *ONLY, "--out", path).exit_code == 0
    return path


def lines_of(script: Path) -> list[str]:
    numbered = re.findall(r"^ *\d+\. (.*?)(?: …)?$", script.read_text("utf-8"), re.M)
    assert numbered
    return numbered


def record(texts: list[str], path: Path) -> Path:
    write_wav(read_out(texts, EmbeddedVoice("en-gb"), "en").clip, path)
    return path


def test_from_a_script_to_a_voice(script: Path, tmp_path: Path) -> None:
    folder, evening = tmp_path / "voice", tmp_path / "evening.wav"
    before = run("check", *ONLY, "--folder", folder)
    assert before.exit_code == 1 and "0 fragments are recorded" in before.output

    record(lines_of(script), evening)
    done = run("cut", evening, *ONLY, "--folder", folder, "--json")
    found = json.loads(done.stdout)
    assert done.exit_code == 0 and found["not_read"] == []
    assert [each["text"] for each in found["fragments"]] == lines_of(script)
    assert all(each["loudness_lufs"] < 0 < each["above_noise_db"] for each in found["fragments"])

    after = run("check", *ONLY, "--folder", folder)
    assert after.exit_code == 0 and "0 missing" in after.output
    nothing = run("script", *ONLY, "--missing", "--folder", folder)
    assert "Everything is recorded already." in nothing.output


def test_what_was_left_out_is_read_another_day(script: Path, tmp_path: Path) -> None:
    folder, rest = tmp_path / "voice", tmp_path / "rest.txt"
    lines = lines_of(script)
    first = run(
        "cut", record(lines[:-2] + lines[-1:], tmp_path / "one.wav"), *ONLY, "--folder", folder
    )
    assert first.exit_code == 1 and f"not read: {len(lines) - 1}." in first.output
    run("script", *ONLY, "--missing", "--folder", folder, "--out", rest)
    assert lines_of(rest) == [lines[-2]]
    second = run(
        "cut", record([lines[-2]], tmp_path / "two.wav"), "--script", rest, "--folder", folder
    )
    assert second.exit_code == 0
    assert run("check", *ONLY, "--folder", folder).exit_code == 0


def test_looking_keeps_nothing(script: Path, tmp_path: Path) -> None:
    folder = tmp_path / "voice"
    evening = record(lines_of(script), tmp_path / "evening.wav")
    assert run("cut", evening, *ONLY, "--folder", folder, "--dry").exit_code == 0
    assert not folder.exists()


def test_a_script_to_print_is_a_pdf(tmp_path: Path) -> None:
    assert run("script", *ONLY, "--out", tmp_path / "sheet.pdf").exit_code == 0
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")
