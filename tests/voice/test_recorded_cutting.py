"""The maker reads a script into a recorder, and the program finds the fragments again."""

from __future__ import annotations

import struct
import wave
from array import array
from pathlib import Path

import pytest

from showtime.voice import Clip, EmbeddedVoice, write_wav
from showtime.voice.recorded import (
    Cut,
    RecordingError,
    Room,
    Wanted,
    cut,
    read_out,
    read_recording,
)
from showtime.voice.samples import clip_of, samples_of

LINES = (
    "half past",
    "a quarter to",
    "two",
    "seven",
    "eight.",
    "twenty-five",
    "the next performance",
    "begins at",
    "my gears can hardly wait.",
    "do bring a friend.",
    "hush,",
    "between you and me,",
    "I creak into motion",
    "sharp.",
    "Barnaby Rook",
    "this afternoon.",
)
QUIET = Room(noise=0.0002, hum=0.0, breaths=0.0, clicks=0.0)


def wanted(lines: tuple[str, ...] = LINES) -> list[Wanted]:
    return [Wanted(number, text, 0.25 + 0.065 * len(text)) for number, text in enumerate(lines, 1)]


def spoken(text: str) -> Clip:
    return EmbeddedVoice("en-gb").render(text, "en")


def cut_of(
    lines: tuple[str, ...] = LINES, room: Room | None = None, by_sound: bool = True
) -> tuple[Cut, dict[str, tuple[float, float]]]:
    """The lines read by one voice and cut by what another one would say; where each was read."""
    reading = read_out(lines, EmbeddedVoice("en-us", 150), "en", room)
    places = {text: (begin, end) for text, begin, end in reading.places}
    return cut(reading.clip, wanted(), spoken if by_sound else None), places


def in_place(found: Cut, places: dict[str, tuple[float, float]]) -> bool:
    """Every take lies where its text was read, but for the faint end of a word in noise."""
    return all(
        abs(take.begin - places[take.wanted.text][0]) < 0.1
        and abs(take.end - places[take.wanted.text][1]) < 0.25
        for take in found.takes
    )


@pytest.mark.parametrize(
    "room",
    [
        pytest.param(QUIET, id="a quiet room"),
        pytest.param(Room(), id="an ordinary room with breaths and clicks"),
        pytest.param(Room(noise=0.01, hum=0.03), id="a fan and a humming mains"),
        pytest.param(Room(breaths=1.0, clicks=1.0), id="breaths and clicks in every pause"),
        pytest.param(Room(pauses=(0.6, 0.9)), id="a reader in a hurry"),
    ],
)
@pytest.mark.parametrize("by_sound", [True, False], ids=["by sound", "by length"])
def test_every_line_is_found_where_it_was_read(room: Room, by_sound: bool) -> None:
    found, places = cut_of(room=room, by_sound=by_sound)
    assert [take.wanted.text for take in found.takes] == list(LINES)
    assert not found.not_read and not found.beside and not found.read_again
    assert in_place(found, places)


@pytest.mark.parametrize("left_out", [0, 3, 8, len(LINES) - 1])
def test_a_line_that_was_left_out_is_named(left_out: int) -> None:
    read = LINES[:left_out] + LINES[left_out + 1 :]
    found, places = cut_of(read)
    assert [each.text for each in found.not_read] == [LINES[left_out]]
    assert in_place(found, places)


@pytest.mark.parametrize("again", [0, 2, 6, len(LINES) - 1])
def test_of_a_line_that_was_read_twice_the_second_reading_counts(again: int) -> None:
    read = LINES[: again + 1] + LINES[again:]
    found, places = cut_of(read)
    assert not found.not_read and not found.beside
    assert len(found.read_again) == 1
    assert in_place(found, places)  # `places` has the later one of equal texts.


def test_what_is_not_in_the_script_is_left_out() -> None:
    read = (*LINES[:5], "oh dear, wait a moment, I lost my place", *LINES[5:])
    found, places = cut_of(read)
    assert not found.not_read and len(found.beside) == 1
    assert in_place(found, places)


def test_noise_before_the_first_line_is_no_line() -> None:
    reading = read_out(LINES, EmbeddedVoice(), "en")
    thump = array("h", [int(9000 * (i % 90 - 45) / 45) for i in range(9000)])
    samples = thump + array("h", bytes(22050)) + samples_of(reading.clip)
    found = cut(clip_of(samples, reading.clip.rate), wanted(), spoken)
    assert not found.not_read and len(found.takes) == len(LINES)


def changed(reading_of: str, gain: float) -> Cut:
    """The lines, where one is read so many times as loud."""
    reading = read_out(LINES, EmbeddedVoice(), "en", QUIET)
    samples = samples_of(reading.clip)
    begin, end = next((b, e) for text, b, e in reading.places if text == reading_of)
    for place in range(round(begin * 22050), round(end * 22050)):
        samples[place] = max(-32768, min(32767, int(samples[place] * gain)))
    return cut(clip_of(samples, 22050), wanted(), spoken)


def remarks(found: Cut) -> dict[str, list[str]]:
    return {
        take.wanted.text: [remark.split(":")[0] for remark in take.remarks]
        for take in found.takes
        if take.remarks
    }


def test_a_good_recording_earns_no_remarks() -> None:
    assert remarks(changed("two", 1.0)) == {}


def test_a_clipped_line_is_remarked_upon() -> None:
    assert remarks(changed("begins at", 12.0)) == {"begins at": ["clipped"]}


def test_a_line_that_is_too_quiet_is_remarked_upon() -> None:
    assert remarks(changed("begins at", 0.2)) == {"begins at": ["too quiet beside the others"]}


def test_a_noisy_room_is_remarked_upon() -> None:
    found, _ = cut_of(room=Room(noise=0.03))
    assert any("noise" in line for lines in remarks(found).values() for line in lines)


def test_two_lines_without_a_pause_are_remarked_upon() -> None:
    read = tuple("two and then the fair begins" if text == "two" else text for text in LINES)
    reading = read_out(read, EmbeddedVoice(), "en", QUIET)
    found = cut(reading.clip, wanted())
    assert "two" in remarks(found) or found.not_read


def test_a_misread_line_is_remarked_upon() -> None:
    """A wrong word in the right place would make the figure tell a wrong time."""
    read = tuple("seven" if text == "two" else text for text in LINES)
    reading = read_out(read, EmbeddedVoice("en-us", 150), "en")
    found = cut(reading.clip, wanted(), spoken)
    assert remarks(found).get("two", [""])[0].startswith("sounds more like 'seven'") or (
        "two" in [each.text for each in found.not_read]
    )


def test_fragments_come_out_equally_loud_and_unclipped() -> None:
    from showtime.voice.loudness import loudness

    found, _ = cut_of()
    levels = [loudness(samples_of(take.clip), take.clip.rate) for take in found.takes]
    assert max(levels) - min(levels) < 3.0
    assert all(max(map(abs, samples_of(take.clip))) < 32767 for take in found.takes)


def test_silence_says_what_to_do() -> None:
    with pytest.raises(RecordingError, match="nobody speaks"):
        cut(Clip(bytes(44100 * 4), 22050), wanted(), spoken)


def test_a_single_line_is_enough() -> None:
    reading = read_out(["half past"], EmbeddedVoice(), "en")
    found = cut(reading.clip, wanted(("half past",)), spoken)
    assert [take.wanted.text for take in found.takes] == ["half past"]


def test_files_that_are_none_say_so(tmp_path: Path) -> None:
    for name, content, says in (
        ("nothing.wav", b"", "is empty"),
        ("words.wav", b"this is no sound at all" * 50, "cannot be read"),
        ("phone.ogg", b"OggS" + bytes(24) + b"OpusHead" + bytes(60), "Opus sound"),
        ("phone.m4a", bytes(4) + b"ftypM4A " + bytes(60), "AAC sound"),
    ):
        (tmp_path / name).write_bytes(content)
        with pytest.raises(RecordingError, match=says):
            read_recording(tmp_path / name)
    with pytest.raises(RecordingError, match="no such file"):
        read_recording(tmp_path / "never.wav")


def test_a_header_without_sound_says_so(tmp_path: Path) -> None:
    path = tmp_path / "short.wav"
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(44100)
    with pytest.raises(RecordingError, match="no sound in it"):
        read_recording(path)


def test_a_header_that_lies_about_its_length_does_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "lies.wav"
    write_wav(EmbeddedVoice().render("half past two", "en"), path)
    content = bytearray(path.read_bytes())
    struct.pack_into("<I", content, 40, 0xFFFFFFF0)
    path.write_bytes(content)
    assert read_recording(path).seconds < 5
