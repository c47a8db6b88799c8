"""One channel or two, a chime before the words, the cards that there are."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import wave
from array import array
from pathlib import Path

import numpy as np
import pytest

from showtime.fair import Channels as WantedChannels
from showtime.fair import Chime as WantedChime
from showtime.voice import (
    Channels,
    Chime,
    Clip,
    Device,
    EmbeddedVoice,
    Ending,
    after_chime,
    devices,
    open_player,
    write_wav,
)
from showtime.voice.card import RATE
from showtime.voice.chime import STROKES_HZ, chime_clip
from showtime.voice.levelling import TARGET_LUFS
from showtime.voice.loudness import loudness
from showtime.voice.miniaudio_stream import devices as cards_of
from showtime.voice.samples import samples_of

MONO = array("h", [1, -2, 300, -32_768, 32_767])


@pytest.mark.parametrize(
    ("channels", "frames"),
    [
        (Channels.ONE, [1, -2, 300, -32_768, 32_767]),
        (Channels.BOTH, [1, 1, -2, -2, 300, 300, -32_768, -32_768, 32_767, 32_767]),
        (Channels.LEFT, [1, 0, -2, 0, 300, 0, -32_768, 0, 32_767, 0]),
        (Channels.RIGHT, [0, 1, 0, -2, 0, 300, 0, -32_768, 0, 32_767]),
    ],
)
def test_the_sound_goes_where_it_was_sent(channels: Channels, frames: list[int]) -> None:
    assert array("h", channels.laid_out(MONO.tobytes())).tolist() == frames
    assert channels.laid_out(b"") == b""


@pytest.mark.parametrize("channels", Channels)
def test_a_sound_file_has_the_channels_that_were_wished_for(
    channels: Channels, tmp_path: Path
) -> None:
    write_wav(Clip(MONO.tobytes(), RATE), tmp_path / "sound.wav", channels)
    with wave.open(str(tmp_path / "sound.wav")) as file:
        assert file.getnchannels() == channels.width
        assert file.getnframes() == len(MONO)
        assert file.readframes(len(MONO)) == channels.laid_out(MONO.tobytes())


@pytest.mark.parametrize("channels", Channels)
def test_a_player_plays_to_the_end_on_any_channels(channels: Channels) -> None:
    player, trouble = open_player("null", channels)
    assert trouble == ""
    first = player.play(Clip(bytes(2 * RATE // 5), RATE))
    assert first.wait_until_ended(5) is Ending.HEARD
    second = player.play(Clip(bytes(2 * 8_000 // 5), 8_000))
    assert second.wait_until_ended(5) is Ending.HEARD
    player.close()


def test_settings_and_voice_mean_the_same_by_the_same_words() -> None:
    assert [each.value for each in WantedChannels] == [each.value for each in Channels]
    assert [each.value for each in WantedChime] == [each.value for each in Chime]


def strongest(clip: Clip, begin: float, seconds: float) -> float:
    """The frequency with the most energy in a stretch of the clip."""
    sound = np.array(samples_of(clip), float)[round(begin * RATE) : round((begin + seconds) * RATE)]
    energies = np.abs(np.fft.rfft(sound * np.hanning(len(sound)), 1 << 16))
    return float(np.argmax(energies)) * RATE / (1 << 16)


@pytest.mark.parametrize(
    ("chime", "tones"), [(Chime.RISING, STROKES_HZ), (Chime.FALLING, STROKES_HZ[::-1])]
)
def test_the_chime_is_three_strokes_in_order(chime: Chime, tones: tuple[float, ...]) -> None:
    clip = chime_clip(chime)
    for number, hertz in enumerate(tones):
        assert strongest(clip, 0.01 + number * 0.16, 0.14) == pytest.approx(hertz, rel=0.03)
    assert 0.5 < clip.seconds < 1.2


@pytest.mark.parametrize("chime", [Chime.RISING, Chime.FALLING])
def test_the_chime_is_a_little_softer_than_speech_and_starts_and_ends_softly(chime: Chime) -> None:
    samples = samples_of(chime_clip(chime))
    assert TARGET_LUFS - 5 < loudness(samples, RATE) < TARGET_LUFS - 1
    assert max(map(abs, samples)) < 0.8 * 32_767
    assert samples[0] == samples[-1] == 0
    half, whole = chime_clip(chime, 0.5), chime_clip(chime)
    ratio = max(map(abs, samples_of(half))) / max(map(abs, samples_of(whole)))
    assert ratio == pytest.approx(0.5, abs=0.01)


def test_the_words_follow_the_chime_unchanged() -> None:
    words = EmbeddedVoice().render("half past two", "en")
    whole = after_chime(words, Chime.RISING)
    assert whole.samples.endswith(words.samples)
    assert whole.seconds == pytest.approx(words.seconds + chime_clip(Chime.RISING).seconds)
    assert after_chime(words, Chime.NONE) == words


def test_every_card_has_a_name_and_one_is_the_default() -> None:
    assert cards_of(("NULL",)) == (Device("NULL Playback Device", default=True),)
    assert cards_of(("a backend nobody has",)) == ()
    assert all(card.name for card in devices())


def showtime(*words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "showtime", "voice", *words],
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[2],
        env=os.environ | {"COLUMNS": "100"},
        timeout=60,
        check=False,
    )


def test_the_cards_are_listed_or_said_to_be_missing() -> None:
    there = devices()
    document = showtime("devices", "--json")
    assert json.loads(document.stdout) == {
        "devices": [{"name": card.name, "default": card.default} for card in there]
    }
    assert document.returncode == (0 if there else 1)
    lines = showtime("devices")
    assert lines.stderr == ""
    assert all(card.name in lines.stdout for card in there)
    assert there or lines.stdout == "No sound card was found; plug one in, and look again.\n"


def test_the_voices_of_a_language_are_listed_with_the_one_that_speaks() -> None:
    document = json.loads(showtime("voices", "--language", "en", "--json").stdout)
    assert [voice["name"] for voice in document["voices"] if voice["chosen"]] == ["en-us"]
    assert "croak" in document["variants"]
    lines = showtime("voices", "--language", "en")
    assert "en-us" in lines.stdout
    assert "(speaks when none is named)" in lines.stdout
    assert lines.returncode == 0
    for voice in document["voices"]:
        assert EmbeddedVoice(voice["name"]).trouble == ""


def test_a_language_that_nobody_speaks_is_an_answer() -> None:
    done = showtime("voices", "--language", "xx")
    assert done.stdout == "No voice speaks 'xx'; write its code, such as de or pt-BR.\n"
    assert (done.stderr, done.returncode) == ("", 1)
