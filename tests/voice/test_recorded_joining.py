"""The figure speaks in the voice that the maker recorded."""

from __future__ import annotations

import json
import math
import shutil
from array import array
from pathlib import Path

import numpy as np
import pytest

from showtime.voice import Clip, EmbeddedVoice
from showtime.voice.loudness import loudness
from showtime.voice.recorded import RecordedVoice, RecordingError, keep, recorded_in
from showtime.voice.samples import clip_of, samples_of
from showtime.wording import stretches

RATE = 22_050
PITCHES = {"half past": 300, "two": 500, "two.": 700, "half past two.": 900, "hush,": 1100}
OTHER = 1500


class Otherwise:
    """A voice that notes what it is asked to say."""

    def __init__(self) -> None:
        self.said: list[str] = []

    def render(self, text: str, language: str) -> Clip:
        self.said.append(text)
        return tone(OTHER)


def tone(pitch: float, seconds: float = 0.4) -> Clip:
    count = round(seconds * RATE)
    return clip_of(
        array("h", [int(8000 * math.sin(2 * math.pi * pitch * i / RATE)) for i in range(count)]),
        RATE,
    )


def pitches_of(clip: Clip) -> list[int]:
    """The tones in a clip, one after the other, by the strongest frequency of each 50 ms."""
    samples, found = np.array(samples_of(clip)), list[int]()
    for begin in range(0, len(samples) - 1102, 1102):
        there = samples[begin : begin + 1102]
        if np.abs(there).min() == np.abs(there).max() or np.abs(there[-400:]).max() < 4000:
            continue
        strongest = int(np.abs(np.fft.rfft(there)).argmax()) * RATE / 1102
        near = min([*PITCHES.values(), OTHER], key=lambda pitch: abs(pitch - strongest))
        if found[-1:] != [near]:
            found.append(near)
    return found


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    keep(tmp_path, "en", {text: tone(pitch) for text, pitch in PITCHES.items()})
    return tmp_path


def speaking(folder: Path, told: list[str] | None = None) -> tuple[RecordedVoice, Otherwise]:
    otherwise = Otherwise()
    hears = [] if told is None else told
    return RecordedVoice(folder, stretches, otherwise, told=hears.append), otherwise


def test_the_fewest_fragments_make_a_sentence(folder: Path) -> None:
    voice, otherwise = speaking(folder)
    assert pitches_of(voice.render("Half past two.", "en")) == [900]
    assert otherwise.said == []


def test_a_word_that_goes_on_and_one_that_rests_are_two(folder: Path) -> None:
    keep(folder, "en", {}, forget=["half past two."])
    voice, _ = speaking(folder)
    assert pitches_of(voice.render("Half past two.", "en")) == [300, 700]
    keep(folder, "en", {"sharp.": tone(1100)})
    voice, _ = speaking(folder)
    assert pitches_of(voice.render("half past two sharp!", "en")) == [300, 500, 1100]


def test_signs_make_pauses(folder: Path) -> None:
    voice, _ = speaking(folder)
    whole = voice.render("Hush, half past two.", "en")
    assert pitches_of(whole) == [1100, 900]
    assert whole.seconds == pytest.approx(0.4 + 0.16 + 0.4, abs=0.01)


def test_a_sentence_is_spoken_by_one_voice_and_what_is_missing_is_told_once(folder: Path) -> None:
    told: list[str] = []
    voice, otherwise = speaking(folder, told)
    for _ in range(3):
        assert pitches_of(voice.render("Hush, half past three.", "en")) == [OTHER]
    voice.render("Half past four.", "en")
    assert otherwise.said == ["Hush, half past three."] * 3 + ["Half past four."]
    assert len(told) == 2
    assert "'half past three.'" in told[0] and "voice check" in told[0]


def test_another_language_is_spoken_otherwise(folder: Path) -> None:
    voice, otherwise = speaking(folder)
    voice.render("half past two.", "de")
    assert otherwise.said == ["half past two."]


@pytest.mark.parametrize("text", ["", "...", "!?"])
def test_nothing_to_say_is_left_to_the_other_voice(folder: Path, text: str) -> None:
    voice, otherwise = speaking(folder)
    voice.render(text, "en")
    assert otherwise.said == [text]


def test_a_folder_that_is_gone_silences_nobody(folder: Path) -> None:
    told: list[str] = []
    shutil.rmtree(folder)
    voice, otherwise = speaking(folder, told)
    voice.render("half past two.", "en")
    assert otherwise.said == ["half past two."] and len(told) == 1


def test_a_broken_index_or_file_silences_nobody(folder: Path) -> None:
    told: list[str] = []
    next((folder / "en").glob("half-past-two*.wav")).write_bytes(b"gone")
    voice, otherwise = speaking(folder, told)
    voice.render("half past two.", "en")
    (folder / "en" / "index.json").write_text('{"fragments": [{"text"')
    voice = RecordedVoice(folder, stretches, otherwise, told=told.append)
    voice.render("half past two.", "en")
    assert len(otherwise.said) == 2 and len(told) == 2
    with pytest.raises(RecordingError, match=r"index\.json"):
        recorded_in(folder, "en")


def test_joins_do_not_click(folder: Path) -> None:
    keep(folder, "en", {}, forget=["half past two."])
    voice, _ = speaking(folder)
    samples = samples_of(voice.render("half past two.", "en"))
    step = max(abs(a - b) for a, b in zip(samples, samples[1:], strict=False))
    steepest = 8000 * 2 * math.pi * 700 / RATE
    assert step < 1.5 * steepest
    assert samples[0] == samples[-1] == 0


def test_a_recording_that_is_read_anew_replaces_the_old_one(folder: Path) -> None:
    keep(folder, "en", {"two": tone(600)})
    assert len(recorded_in(folder, "en")) == len(PITCHES)
    assert len(list((folder / "en").glob("*.wav"))) == len(PITCHES)
    index = json.loads((folder / "en" / "index.json").read_text())
    assert all((folder / "en" / each["file"]).is_file() for each in index["fragments"])


def test_the_makers_own_files_in_the_folder_stay(folder: Path) -> None:
    own = folder / "en" / "evening.wav"
    own.write_bytes(b"mine")
    keep(folder, "en", {"two": tone(600)})
    assert own.read_bytes() == b"mine"


def test_a_folder_that_cannot_be_written_leaves_the_voice_whole(tmp_path: Path) -> None:
    (tmp_path / "voice").write_text("a file where the folder should be")
    with pytest.raises(RecordingError, match="choose another folder"):
        keep(tmp_path / "voice", "en", {"two": tone(600)})


def test_joined_sentences_are_as_loud_as_spoken_ones(tmp_path: Path) -> None:
    from showtime.voice.recorded import Wanted, cut, read_out

    lines = ["the next performance begins at", "half past", "two."]
    wanted = [Wanted(i, text, 0.25 + 0.065 * len(text)) for i, text in enumerate(lines, 1)]
    found = cut(read_out(lines, EmbeddedVoice(), "en").clip, wanted)
    keep(tmp_path, "en", {take.wanted.text: take.clip for take in found.takes})
    voice, otherwise = speaking(tmp_path)
    text = "The next performance begins at half past two."
    joined, whole = voice.render(text, "en"), EmbeddedVoice().render(text, "en")
    assert otherwise.said == []
    apart = loudness(samples_of(joined), RATE) - loudness(samples_of(whole), RATE)
    assert abs(apart) < 1.5
