"""The figure speaks as its settings and its banks want it; what hinders that is a line."""

from __future__ import annotations

import time
import wave
from array import array
from pathlib import Path

import pytest

from showtime.fair import Channels, Chime, Day, Manner, ShowtimeError, Speaking, Where
from showtime.live.speaking import chimed_as, open_speech, record, say_now, voice_of
from showtime.voice import Clip
from showtime.wording import Kind, Sentence, Situation

HALF_PAST = "The Pear Dance begins at half past two."


@pytest.fixture
def sentence(saturday: Day) -> Sentence:
    situation = Situation(Kind.NONE_LEFT, saturday.hours.start, saturday.signboard)
    return Sentence(HALF_PAST, "en", situation, 0)


def recorded(
    speaking: Speaking, sentence: Sentence, folder: Path, **pronounced: dict[str, str]
) -> tuple[list[int], int, float, list[str]]:
    """Samples of the first channel that has any, channels, seconds, and what was told."""
    told: list[str] = []
    record(speaking, pronounced, [sentence], folder / "said.wav", told.append)
    with wave.open(str(folder / "said.wav")) as file:
        frames = array("h", file.readframes(file.getnframes()))
        return frames.tolist(), file.getnchannels(), file.getnframes() / file.getframerate(), told


def test_by_default_one_channel_and_nothing_before_the_words(
    sentence: Sentence, tmp_path: Path
) -> None:
    _, channels, seconds, told = recorded(Speaking(), sentence, tmp_path)
    assert (channels, told) == (1, [])
    assert 1.5 < seconds < 3.5


def test_everything_that_the_settings_wish_is_in_the_sound(
    sentence: Sentence, tmp_path: Path
) -> None:
    plain = recorded(Speaking(), sentence, tmp_path)[2]
    wished = Speaking(words_a_minute=100, channels=Channels.RIGHT, chime=Chime.FALLING, volume=30.0)
    frames, channels, seconds, _ = recorded(wished, sentence, tmp_path)
    assert channels == 2
    assert set(frames[0::2]) == {0}
    assert 3_000 < max(map(abs, frames[1::2])) < 0.31 * 32_767
    assert seconds > plain * 1.4 + 0.6


def test_a_language_may_be_spoken_otherwise(sentence: Sentence, tmp_path: Path) -> None:
    plain = recorded(Speaking(), sentence, tmp_path)[2]
    slow = Speaking(by_language={"en": Manner(words_a_minute=85)})
    assert recorded(slow, sentence, tmp_path)[2] > 1.6 * plain
    other = Speaking(by_language={"de": Manner(words_a_minute=85)})
    assert recorded(other, sentence, tmp_path)[2] == pytest.approx(plain, abs=0.03)


def test_the_banks_table_is_heard_and_not_seen(sentence: Sentence, tmp_path: Path) -> None:
    plain = recorded(Speaking(), sentence, tmp_path)[2]
    said = recorded(Speaking(), sentence, tmp_path, en={"pear dance": "dance of the golden pears"})
    assert said[2] > plain + 0.3
    assert sentence.text == HALF_PAST


def test_a_missing_voice_is_told_with_its_place_and_another_speaks(
    sentence: Sentence, tmp_path: Path
) -> None:
    where = Where("stall.yaml", 12, 9)
    *_, seconds, told = recorded(Speaking("en-uss", where=where), sentence, tmp_path)
    assert len(told) == 1
    assert told[0].startswith("stall.yaml:12:9: there is no voice called 'en-uss'; did you mean")
    assert seconds > 1.5


def test_a_word_that_the_voice_cannot_say_is_told(sentence: Sentence, tmp_path: Path) -> None:
    *_, told = recorded(Speaking(), sentence, tmp_path, en={"Pear": "[[7]]"})
    assert len(told) == 1
    assert "'Pear'" in told[0]


def test_a_file_that_cannot_be_written_is_one_line(sentence: Sentence, tmp_path: Path) -> None:
    with pytest.raises(ShowtimeError, match=r"nowhere/said\.wav: the sound cannot be written"):
        record(Speaking(), {}, [sentence], tmp_path / "nowhere" / "said.wav", print)


def test_a_language_without_a_voice_is_one_line(sentence: Sentence, tmp_path: Path) -> None:
    unspoken = Sentence("hello", "xx", sentence.situation, 0)
    with pytest.raises(ShowtimeError, match="no voice speaks the language 'xx'"):
        record(Speaking(), {}, [unspoken], tmp_path / "said.wav", print)


def test_one_sentence_is_said_on_the_card_of_the_settings(sentence: Sentence) -> None:
    told: list[str] = []
    begun = time.monotonic()
    say_now(Speaking(words_a_minute=400, device="null"), {}, [sentence], told.append)
    assert told == []
    assert time.monotonic() - begun > 0.7


def test_a_card_that_is_not_there_is_told(sentence: Sentence) -> None:
    told: list[str] = []
    say_now(Speaking(device="no such card"), {}, [sentence], told.append)
    assert len(told) == 1
    assert "sound card" in told[0]


def test_on_the_day_the_words_are_said_with_their_chime() -> None:
    told: list[str] = []
    speaking = Speaking(device="null", chime=Chime.RISING, channels=Channels.BOTH)
    speech = open_speech(speaking, {"en": {"Rook": "ruck"}}, told.append)
    speech.prepare("Rook", "en")
    begun = time.monotonic()
    speech.say([("Rook", "en")], softly=True)
    assert speech.speaking
    while speech.speaking and time.monotonic() < begun + 5:
        time.sleep(0.01)
    assert time.monotonic() - begun > 0.9, "the chime alone is longer than half a second"
    speech.close()
    assert (told, speech.trouble) == ([], "")


def test_what_is_wrong_is_told_when_the_day_opens() -> None:
    told: list[str] = []
    speaking = Speaking("nobody", device="null")
    open_speech(speaking, {"en": {"Rook": "[[]]", "Pear": "[[!]]"}}, told.append).close()
    assert [line.split(";")[0] for line in told] == [
        "there is no voice called 'nobody'",
        "the voice cannot say '[[]]' for 'Rook' (en)",
        "the voice cannot say '[[!]]' for 'Pear' (en)",
    ]


def test_the_chime_is_as_soft_as_the_voice() -> None:
    def swing(clip: Clip) -> int:
        return max(map(abs, array("h", clip.samples)))

    silence = Clip(b"", 22_050)
    loud = chimed_as(Speaking(chime=Chime.RISING))(silence)
    soft = chimed_as(Speaking(chime=Chime.RISING, volume=25.0))(silence)
    assert swing(soft) / swing(loud) == pytest.approx(0.25, abs=0.01)
    assert chimed_as(Speaking())(silence) == silence


def test_the_voice_of_the_settings_is_ready_for_every_language() -> None:
    voice = voice_of(Speaking("en-gb", by_language={"de": Manner("de+f3")}), {})
    assert voice.troubles == ()
    for language in ("en", "de", "nl", "fr", "es", "it", "cy"):
        assert voice.render("14:30", language).seconds > 0.5
