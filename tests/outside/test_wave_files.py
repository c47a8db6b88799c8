"""Sound files against readers from outside the project.

Readers: Python's own `wave`, scipy.io.wavfile (an implementation of its own), and the layout of
a RIFF WAVE file with PCM data as in "Multimedia Programming Interface and Data Specifications
1.0" (IBM and Microsoft, August 1991), chapter 3 (from memory).
"""

from __future__ import annotations

import struct
import wave
from array import array
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.io import wavfile

from showtime.voice import Clip, EmbeddedVoice, write_wav

clips = st.builds(
    lambda samples, rate: Clip(array("h", samples).tobytes(), rate),
    st.lists(st.integers(-32768, 32767), min_size=1, max_size=300),
    st.sampled_from([8_000, 11_025, 16_000, 22_050, 44_100, 48_000]),
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("waves")


@given(clip=clips)
@settings(derandomize=True, max_examples=60, deadline=None)
def test_python_reads_back_every_sample(folder: Path, clip: Clip) -> None:
    write_wav(clip, folder / "python.wav")
    with wave.open(str(folder / "python.wav")) as reader:
        assert (reader.getnchannels(), reader.getsampwidth()) == (1, 2)
        assert reader.getframerate() == clip.rate
        assert reader.readframes(reader.getnframes()) == clip.samples


@given(clip=clips)
@settings(derandomize=True, max_examples=60, deadline=None)
def test_scipy_reads_back_every_sample(folder: Path, clip: Clip) -> None:
    write_wav(clip, folder / "scipy.wav")
    rate, samples = wavfile.read(folder / "scipy.wav")
    assert rate == clip.rate
    assert samples.dtype.str == "<i2"
    assert samples.tobytes() == clip.samples


def test_an_empty_clip_is_a_file_without_samples(tmp_path: Path) -> None:
    write_wav(Clip(b"", 22_050), tmp_path / "empty.wav")
    assert len(wavfile.read(tmp_path / "empty.wav")[1]) == 0


def test_the_layout_is_that_of_a_pcm_wave_file(tmp_path: Path) -> None:
    write_wav(Clip(b"\x01\x00\x02\x00", 22_050), tmp_path / "two.wav")
    content = (tmp_path / "two.wav").read_bytes()
    riff, size, kind, fmt, fmt_size = struct.unpack("<4sI4s4sI", content[:20])
    assert (riff, kind, fmt, fmt_size) == (b"RIFF", b"WAVE", b"fmt ", 16)
    assert size == len(content) - 8
    pcm, channels, rate, bytes_a_second, block, bits = struct.unpack("<HHIIHH", content[20:36])
    assert (pcm, channels, rate, bits) == (1, 1, 22_050, 16)
    assert (bytes_a_second, block) == (22_050 * 2, 2)
    assert content[36:] == b"data\x04\x00\x00\x00\x01\x00\x02\x00"


def test_a_spoken_sentence_is_heard_by_both_readers_alike(tmp_path: Path) -> None:
    clip = EmbeddedVoice().render("Frost Bells plays at half past two.", "en")
    write_wav(clip, tmp_path / "spoken.wav")
    rate, samples = wavfile.read(tmp_path / "spoken.wav")
    assert len(samples) / rate == pytest.approx(clip.seconds)
    assert 0.3 < abs(samples.astype(float)).max() / 32_768 < 0.8


def test_a_file_that_cannot_be_written_says_so(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="missing"):
        write_wav(Clip(b"", 22_050), tmp_path / "missing" / "spoken.wav")
