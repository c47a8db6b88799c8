"""A pack is whole and right, or it is told what is wrong with it."""

from __future__ import annotations

import csv
import json
import struct
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from math import sin, sqrt
from pathlib import Path

import pytest

from showtime.fair import Plan, ShowtimeError, Span
from showtime.figure import Wanted, make_pack, wrong_with
from showtime.figure.pack_folder import BEGUN, MANIFEST, there, write
from showtime.figure.pack_pieces import Piece
from showtime.figure.pack_sound import sound_of
from showtime.figure.pack_windows import windows
from showtime.live import Desk, answer
from showtime.live.moment import as_planned
from showtime.voice import Clip, EmbeddedVoice
from showtime.voice.recorded import keep
from showtime.wording import LANGUAGES, Kind, script_of, situations_of

SATURDAY = "2027-02-13"


def test_a_fresh_pack_is_complete_and_right(desk, pack):
    assert wrong_with(desk, pack) == []


def test_the_same_day_and_seed_give_the_same_pack_to_the_byte(pack, pack_again, tmp_path):
    told = pack_again(tmp_path / "again")
    size = sum(file.stat().st_size for file in (tmp_path / "again").rglob("*") if file.is_file())
    assert f"{size / 1e6:.1f} MB of 16 MB" in told
    names = list(there(pack))
    assert list(there(tmp_path / "again")) == names
    for name in (*names, MANIFEST):
        assert (pack / name).read_bytes() == (tmp_path / "again" / name).read_bytes(), name


def test_a_half_written_pack_is_never_taken_for_a_whole_one(desk, pack, tmp_path, full):
    files = {name: (pack / name).read_bytes() for name in there(pack)}
    folder = tmp_path / "card"
    for takes in range(0, len(files), 9 if full else 60):
        with pytest.raises(KeyboardInterrupt):
            write(folder, Interrupted(files, takes))
        wrong = wrong_with(desk, folder)
        assert wrong and BEGUN in wrong[0], wrong
    write(folder, files)
    assert wrong_with(desk, folder) == []


class Interrupted(dict[str, bytes]):
    """A pack's files; the keeper loses patience when so many are written."""

    def __init__(self, files: Mapping[str, bytes], takes: int) -> None:
        super().__init__(files)
        self._takes = takes
        self._rounds = 0

    def items(self):
        self._rounds += 1
        for number, item in enumerate(super().items()):
            if self._rounds > 1 and number == self._takes:
                raise KeyboardInterrupt
            yield item


def test_other_peoples_files_are_left_alone(desk, pack, tmp_path):
    files = {name: (pack / name).read_bytes() for name in there(pack)}
    card = tmp_path / "card"
    card.mkdir()
    (card / "holiday.txt").write_text("mine")
    write(card, files)
    assert (card / "holiday.txt").read_text() == "mine"
    assert wrong_with(desk, card) == []
    for name in ("README.TXT", MANIFEST, "CLIPS"):
        foreign = tmp_path / name
        foreign.mkdir()
        (foreign / name).write_text("mine too")
        with pytest.raises(ShowtimeError, match="is of no pack"):
            write(foreign, files)
        assert (foreign / name).read_text() == "mine too"


def test_what_a_controller_looks_up_is_what_the_computer_would_answer(desk, pack):
    """At every half minute of the day, the day before it opens and the evening after."""
    day = desk.day(SATURDAY)
    plan = desk.plan(day, 60.0)
    midnight = datetime.combine(day.date, datetime.min.time(), day.signboard.timezone)
    tomorrow = desk.tomorrow(day, 60.0)
    rows = [line.split(",") for line in (pack / "ANSWERS.CSV").read_text().splitlines()[1:]]
    for second in range(0, 30 * 3600, 30):
        now = midnight + timedelta(seconds=second)
        state = as_planned(plan, now, keep_within=timedelta(seconds=60), tomorrow=tomorrow)
        wanted = answer(state, now)
        at = -1
        if wanted.at is not None:
            local = wanted.at.astimezone(day.signboard.timezone)
            at = round((local - midnight).total_seconds())
        found = [
            row
            for row in rows
            if row[1] == wanted.kind and int(row[3]) == at and int(row[4]) <= second < int(row[5])
        ]
        assert found, (second, wanted.kind, at)


def test_a_day_in_whose_hours_the_clocks_change_is_refused(desk):
    """In Great Britain they are put forward at one in the morning of 28 March 2027."""
    sunday = datetime(2027, 3, 28, tzinfo=desk.stall.signboard.timezone)
    hours = Span(sunday, sunday + timedelta(hours=9))
    day = replace(desk.stall.days[0], date=sunday.date(), hours=hours)
    with pytest.raises(ShowtimeError, match="the clocks are changed"):
        windows(Plan(day, ()), None, [desk.bank("en")])


@pytest.fixture(scope="module")
def own_voice(desk, tmp_path_factory) -> Path:
    """The maker has recorded whatever `next` needs, and nothing else; it sounds like a whistle."""
    folder = tmp_path_factory.mktemp("voice")
    script = script_of(desk.bank("en"), situations_of(desk.stall), kinds=[Kind.NEXT], worth=9.0)
    wave = [round(9_000 * sin(i / 5)) for i in range(6_000)]
    whistle = Clip(struct.pack("<6000h", *wave), 22_050)
    keep(folder, "en", {each.text: whistle for each in script.fragments})
    return folder


def test_a_recorded_voice_says_what_it_can_and_no_sentence_is_in_two_voices(
    desk, own_voice, tmp_path
):
    speaking = replace(desk.stall.speaking, recorded=own_voice)
    at_home = Desk(replace(desk.stall, speaking=speaking), desk.folder, desk.clock)
    packed = make_pack(at_home, tmp_path / "p", Wanted(answers=3), day=SATURDAY)
    assert packed.own_voice and 0 < packed.embedded < packed.clips
    assert wrong_with(at_home, tmp_path / "p") == []
    voices = {row["clip"]: row["voice"] for row in table(tmp_path / "p" / "CLIPS.CSV")}
    for each in table(tmp_path / "p" / "ANSWERS.CSV"):
        for row in table(tmp_path / "p" / "WORDS" / f"L{int(each['list']):04}.CSV"):
            heard = {voices[token] for token in row["clips"].split() if token[0] != "-"}
            assert len(heard) == 1
            assert each["kind"] != "next" or heard == {"recorded"}


def table(file: Path) -> list[dict[str, str]]:
    with file.open(newline="", encoding="utf-8") as opened:
        return list(csv.DictReader(opened))


def test_answers_in_two_languages_follow_each_other(desk, tmp_path, full):
    if not full:
        pytest.skip("a long proof: every language in pairs, with --full")
    others = [language for language in LANGUAGES if language != "en"]
    for language in others:
        pair = ("en", language)
        board = replace(desk.stall.signboard, languages=pair, answers_in=pair)
        days = tuple(replace(day, signboard=board) for day in desk.stall.days)
        both = Desk(replace(desk.stall, signboard=board, days=days), desk.folder, desk.clock)
        wanted = Wanted(answers=3, limit=40_000_000)
        packed = make_pack(both, tmp_path / language, wanted, day=SATURDAY)
        assert packed.languages == pair
        assert wrong_with(both, tmp_path / language) == []


def test_at_44100_samples_a_second_it_is_the_same_sound():
    """Twice the samples, the same loudness and length."""
    piece = Piece("en", "quarter to eleven.")
    slow, fast = (sound_of(piece, EmbeddedVoice(), read, rate) for rate in (22_050, 44_100))
    assert abs(len(fast) - 2 * len(slow)) < 400
    levels = [loudness(sound[44:]) for sound in (slow, fast)]
    assert levels[1] == pytest.approx(levels[0], rel=0.02)


def read(piece: Piece) -> Clip:
    raise AssertionError(f"{piece} is not recorded")


def loudness(samples: bytes) -> float:
    values = struct.unpack(f"<{len(samples) // 2}h", samples)
    return sqrt(sum(value * value for value in values) / len(values))


def run(*words: object) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "showtime", "pack", *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, timeout=120)


def test_the_command_says_whether_a_pack_is_right_and_its_exit_tells_too(pack, tmp_path):
    good = run("--verify", pack)
    assert (good.returncode, good.stdout) == (0, f"{pack}: complete and right\n")
    nothing = run("--verify", tmp_path / "none", "--json")
    assert nothing.returncode == 1
    assert json.loads(nothing.stdout)["wrong"] == [f"{tmp_path / 'none'}: there is no such folder"]


def test_the_command_refuses_a_limit_that_cannot_be_kept(tmp_path):
    refused = run(tmp_path / "p", "--day", SATURDAY, "--answers", "1", "--limit", "1")
    assert refused.returncode == 2 and "MB at least" in refused.stderr
    assert refused.stdout == "" and not (tmp_path / "p").exists()
