"""Packs read by a checker that shares no code with what writes them, and heard by a stranger.

Sources: RFC 4180 for the tables and RIFF WAV for the clips, as Python's own csv and wave modules
read them; CRC-32 as in ZIP files (PKWARE's APPNOTE), by Python's zlib; names of eight letters and
three, as in Microsoft's FAT specification. English times are heard by a reader written here from
how people say them (from memory): "a quarter to eleven", "ten forty-five", "in two minutes".
The clips are listened to by CMU PocketSphinx, as in test_listening.
"""

from __future__ import annotations

import csv
import json
import re
import subprocess
import sys
import wave
import zlib
from collections.abc import Iterator
from pathlib import Path

import pytest

from showtime.voice import Clip
from showtime.voice.listening import listened

SHORT = re.compile(r"[A-Z0-9_]{1,8}(\.[A-Z0-9_]{1,3})?")
LIMIT = 16_000_000

UNITS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"]
TEENS = ["eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen"]
ONES = [*UNITS, *TEENS, "eighteen", "nineteen"]
TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50}
NUMBERS = {word: number for number, word in enumerate(ONES)} | TENS
NUMBERS |= {f"{ten}-{ONES[one]}": TENS[ten] + one for ten in TENS for one in range(1, 10)}
NUMBERS |= {f"oh {ONES[one]}": one for one in range(1, 10)}
NUMBER = "|".join(sorted(NUMBERS, key=len, reverse=True))
HOUR = "|".join(ONES[1:13])
BESIDE = re.compile(
    rf"\b(?:(?P<part>half|(?:a )?quarter)|(?P<minutes>{NUMBER})(?: minutes?)?) "
    rf"(?P<side>past|after|to|before) (?P<hour>{HOUR}|noon|midnight|midday)\b"
)
PLAIN = re.compile(rf"\b(?P<hour>{HOUR}) (?P<minutes>o'clock|{NUMBER})\b")
NAMED = re.compile(r"\b(?P<name>noon|midday|midnight)\b")
TO_GO = re.compile(
    rf"\b(?P<less>less than a|under a|not even a)?(?:(?P<minutes>{NUMBER})|a|one)? ?minutes?\b"
)


def heard(sentence: str) -> set[int]:
    """Minutes after noon or midnight that are told; below zero: minutes to go, less one."""
    text = re.sub(r"[^a-z' -]", " ", sentence.lower())
    text = " ".join(text.split())
    found: set[int] = set()

    def take(pattern: re.Pattern[str], rest: str) -> str:
        for match in pattern.finditer(rest):
            found.add(meant({k: v for k, v in match.groupdict().items() if v}, pattern))
        return pattern.sub(" . ", rest)

    for pattern in (BESIDE, PLAIN, NAMED, TO_GO):
        text = take(pattern, text)
    return found


def meant(said: dict[str, str], pattern: re.Pattern[str]) -> int:
    if pattern is NAMED:
        return 0
    if pattern is TO_GO:
        return -1 if "less" in said else -1 - NUMBERS[said.get("minutes", "one")]
    if said.get("minutes") == "o'clock":
        minutes = 0
    elif "part" in said:
        minutes = 30 if said["part"] == "half" else 15
    else:
        minutes = NUMBERS[said["minutes"]]
    hour = NUMBERS.get(said["hour"], 0)
    away = -minutes if said.get("side") in ("to", "before") else minutes
    return (60 * hour + away) % 720


def table(file: Path) -> list[dict[str, str]]:
    with file.open(newline="", encoding="utf-8") as opened:
        return list(csv.DictReader(opened, strict=True))


@pytest.fixture(scope="module")
def pack(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("card") / "PACK"
    command = [sys.executable, "-m", "showtime", "pack", str(folder), "--day", "2027-02-13"]
    done = subprocess.run([*command, "--json"], capture_output=True, text=True, timeout=300)
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    sizes = [file.stat().st_size for file in folder.rglob("*") if file.is_file()]
    assert (told["bytes"], told["files"]) == (sum(sizes), len(sizes))
    return folder


def test_the_pack_is_within_its_limit_and_says_so(pack):
    assert sum(file.stat().st_size for file in pack.rglob("*") if file.is_file()) <= LIMIT


def test_every_file_has_a_short_name_and_the_check_that_the_manifest_tells(pack):
    text = (pack / "MANIFEST.CSV").read_bytes()
    *lines, last, nothing = text.split(b"\r\n")
    assert nothing == b""
    listed = dict(line.decode().split(",", 1) for line in lines[1:])
    files = {f.relative_to(pack).as_posix() for f in pack.rglob("*") if f.is_file()}
    assert set(listed) == files - {"MANIFEST.CSV"}
    for name, entry in listed.items():
        body = (pack / name).read_bytes()
        assert entry == f"{len(body)},{zlib.crc32(body):08X}", name
        # MicroPython imports the kit by small letters; a FAT card holds those in the same places.
        folded = name.upper() if name.startswith("KIT/") else name
        assert all(SHORT.fullmatch(part) for part in folded.split("/")), name
    whole = text[: text.rindex(b"END,")]
    assert last.decode() == f"END,{len(listed)},{zlib.crc32(whole):08X}"


def test_every_clip_is_16_bit_mono_sound_at_the_rate_that_is_told(pack):
    about = {row["name"]: row["value"] for row in table(pack / "PACK.CSV")}
    for row in table(pack / "CLIPS.CSV"):
        number = int(row["clip"])
        file = pack / "CLIPS" / f"{number // 100:02}" / f"{number:04}.WAV"
        with wave.open(str(file), "rb") as sound:
            assert (sound.getnchannels(), sound.getsampwidth(), sound.getcomptype()) == (
                1,
                2,
                "NONE",
            )
            assert sound.getframerate() == int(about["rate"]) == 22_050
            lasts = sound.getnframes() / sound.getframerate()
            samples = memoryview(sound.readframes(sound.getnframes())).cast("h")
        assert file.stat().st_size == 44 + 2 * len(samples)
        assert abs(1000 * lasts - int(row["milliseconds"])) <= 1
        assert 0.1 < lasts < 8, row
        assert 3_000 < max(samples) < 32_767, row


def sentences(pack: Path) -> Iterator[tuple[dict[str, str], list[str]]]:
    """Each line of ANSWERS.CSV with its sentences in words."""
    words = {row["clip"]: row["text"] for row in table(pack / "CLIPS.CSV")}
    for answer in table(pack / "ANSWERS.CSV"):
        rows = table(pack / "WORDS" / f"L{int(answer['list']):04}.CSV")
        told = [" ".join(words[t] for t in row["clips"].split() if t[0] != "-") for row in rows]
        yield answer, told


def test_every_answer_tells_its_own_start_in_several_sentences(pack):
    next_of = set()
    for answer, told in sentences(pack):
        assert len(set(told)) == len(told) == int(answer["sentences"]) >= 6, answer
        if answer["kind"] == "next":
            assert len(told) >= 12
            next_of.add(answer["start"])
        at, begins, ends = (int(answer[key]) for key in ("at", "from", "until"))
        for sentence in told:
            if at < 0:
                assert heard(sentence) == set(), sentence
                continue
            to_go = {-1 - minutes(at - now) for now in (begins, ends - 1)}
            assert len(heard(sentence)) == 1, (sentence, heard(sentence))
            assert heard(sentence) <= {at // 60 % 720} | (to_go if len(to_go) == 1 else set()), (
                answer,
                sentence,
            )
    assert next_of == {row["start"] for row in table(pack / "PLAN.CSV")}


def minutes(seconds: int) -> int:
    """To the nearest; less than one is none."""
    return (seconds + 30) // 60 if seconds >= 60 else 0


def test_every_minute_that_may_be_dialled_is_said_as_itself(pack):
    words = {row["clip"]: row["text"] for row in table(pack / "CLIPS.CSV")}
    for letter in "HC":
        for hour in range(24):
            said = set()
            for row in table(pack / "WORDS" / f"{letter}{hour:02}.CSV"):
                told = " ".join(words[t] for t in row["clips"].split() if t[0] != "-")
                assert heard(told) == {(60 * hour + int(row["minute"])) % 720}, told
                said.add(int(row["minute"]))
            assert said == set(range(60))


def test_the_plan_is_the_one_that_the_computer_prints(pack):
    command = [sys.executable, "-m", "showtime", "plan", "--day", "2027-02-13", "--json"]
    done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=120)
    wanted = [
        (each["starts"][11:16], each["piece"]) for each in json.loads(done.stdout)["performances"]
    ]
    pieces = {row["piece"]: row["name"] for row in table(pack / "PIECES.CSV")}
    packed = [
        (
            f"{int(row['begins']) // 3600:02}:{int(row['begins']) // 60 % 60:02}",
            pieces[row["piece"]],
        )
        for row in table(pack / "PLAN.CSV")
    ]
    assert packed == wanted


def test_at_every_second_of_the_day_there_is_something_to_say(pack):
    starts = [int(row["begins"]) for row in table(pack / "PLAN.CSV")]
    answers = table(pack / "ANSWERS.CSV")
    for number, start in enumerate(starts, start=1):
        before = starts[number - 2] if number > 1 else 36_000
        spans = sorted(
            (int(row["from"]), int(row["until"]))
            for row in answers
            if row["start"] == str(number) and row["kind"] in ("next", "soon")
        )
        reached = before
        for begins, ends in spans:
            assert begins <= reached
            reached = max(reached, ends)
        assert reached > start


def test_the_words_of_care_are_in_its_readme(pack):
    text = (pack / "README.TXT").read_bytes().decode()
    assert text.count("\n") == text.count("\r\n")
    for word in ("Low voltage only", "fused", "guards", "emergency stop", "nothing moves until"):
        assert word in text


class FromTheCard:
    """Says what a table of the pack has it say: one clip after the other, as the kit plays them."""

    def __init__(self, folder: Path, rows: dict[str, str]) -> None:
        self._folder = folder
        self._rows = rows

    def render(self, text: str, language: str) -> Clip:
        sound = b""
        for token in map(int, self._rows[text].split()):
            if token < 0:
                sound += bytes(2 * (22_050 * -token // 1000))
                continue
            with wave.open(
                str(self._folder / "CLIPS" / f"{token // 100:02}" / f"{token:04}.WAV")
            ) as clip:
                sound += clip.readframes(clip.getnframes())
        return Clip(sound, 22_050)


def test_a_listener_understands_the_times_that_were_dialled(pack, full):
    """CMU PocketSphinx hears the joined clips and knows which of 144 times was understood."""
    words = {row["clip"]: row["text"] for row in table(pack / "CLIPS.CSV")}
    rows: dict[str, str] = {}
    times: dict[str, int] = {}
    for hour in range(24):
        for row in table(pack / "WORDS" / f"H{hour:02}.CSV"):
            told = " ".join(words[t] for t in row["clips"].split() if t[0] != "-")
            if int(row["minute"]) % 5 == 0 and "Barnaby" not in told:
                times.setdefault(told, (60 * hour + int(row["minute"])) % 720)
                rows.setdefault(told, row["clips"])
    spoken = list(rows)[:: 1 if full else 25]
    assert len(spoken) >= 10
    heard = list(listened(FromTheCard(pack, rows), spoken, times, (None,)))
    right = sum(each.right for each in heard)
    assert right >= 0.97 * len(spoken), [each for each in heard if not each.right]
