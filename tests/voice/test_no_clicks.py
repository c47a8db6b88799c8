"""What the card gets while answers start, stop and replace each other."""

from __future__ import annotations

from array import array
from itertools import pairwise
from math import pi, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from showtime.voice import SOFTLY, Clip, Ending, Playback
from showtime.voice.mix import FADE_S, Mix
from showtime.voice.samples import LOUDEST, added, peak, samples_of, scaled, with_peak

RATE = 22_050
FADE = round(FADE_S * RATE)


def steady(level: int, count: int = RATE) -> array[int]:
    return array("h", [level] * count)


def playback(samples: array[int], gain: float = 1.0) -> Playback:
    return Playback(Clip(samples.tobytes(), RATE), gain)


def put(mix: Mix, samples: array[int], gain: float = 1.0) -> Playback:
    made = playback(samples, gain)
    mix.put(made, samples)
    return made


def pulled(mix: Mix, frames: int) -> array[int]:
    """The samples of the next pull as the card plays them: what is missing is silence."""
    sound = samples_of(Clip(mix.pull(frames), RATE))
    return sound + array("h", [0] * (frames - len(sound)))


def largest_step(samples: array[int]) -> int:
    return max(abs(after - before) for before, after in pairwise(samples))


def test_a_clip_leaves_exactly_as_it_was_rendered_at_full_gain() -> None:
    tone = array("h", [round(9_000 * sin(i / 7)) for i in range(1_000)])
    mix = Mix(RATE)
    put(mix, tone)
    out = array("h")
    for _ in range(10):
        out += pulled(mix, 220)
    assert out[:1_000] == tone
    assert not any(out[1_000:])


def test_without_a_clip_the_card_gets_silence() -> None:
    assert Mix(RATE).pull(220) == b""


def test_the_first_sample_is_handed_over_with_the_next_pull() -> None:
    mix = Mix(RATE)
    one = put(mix, steady(100))
    assert not one.started
    assert pulled(mix, 10)[0] == 100
    assert one.started


def test_the_end_is_told_once_the_last_sample_has_left() -> None:
    mix = Mix(RATE)
    one = put(mix, steady(100, 220))
    mix.pull(220)
    assert one.ending is None
    mix.pull(220)
    assert one.ending is Ending.HEARD


def test_a_stopped_clip_fades_out_over_five_milliseconds_without_a_jump() -> None:
    mix = Mix(RATE)
    put(mix, steady(30_000))
    before = pulled(mix, 220)
    mix.stop()
    after = pulled(mix, 440)
    assert largest_step(before[-1:] + after) <= 30_000 / FADE + 2
    assert not any(after[FADE:])
    assert any(after[: FADE - 1])


def test_without_the_fade_the_stop_would_jump() -> None:
    assert largest_step(steady(30_000, 2) + array("h", [0])) == 30_000


def test_a_replaced_clip_crosses_over_without_a_jump_or_a_gap() -> None:
    mix = Mix(RATE)
    put(mix, steady(20_000))
    before = pulled(mix, 220)
    put(mix, steady(20_000))
    after = pulled(mix, 440)
    assert largest_step(before[-1:] + after) <= 2 * 20_000 / FADE + 4
    assert min(after) > 19_900


def test_two_full_clips_crossing_over_do_not_clip() -> None:
    mix = Mix(RATE)
    put(mix, steady(LOUDEST))
    mix.pull(220)
    put(mix, steady(LOUDEST))
    crossing = pulled(mix, 220)
    assert min(crossing) > LOUDEST - 200
    assert max(crossing) <= LOUDEST


def test_presses_within_one_fade_stay_smooth() -> None:
    mix = Mix(RATE)
    put(mix, steady(20_000))
    out = pulled(mix, 220)
    for _ in range(10):
        put(mix, steady(20_000))
        out += pulled(mix, 30)
    assert largest_step(out) <= 4 * 20_000 / FADE + 8
    assert peak(out) <= 20_010


def test_an_answer_that_never_started_leaves_no_tail() -> None:
    mix = Mix(RATE)
    one = put(mix, steady(20_000))
    mix.stop()
    assert one.ending is Ending.CUT
    assert not one.started
    assert not any(pulled(mix, 220))


def test_softly_is_about_a_third_of_the_loudness() -> None:
    mix = Mix(RATE)
    put(mix, steady(20_000), gain=SOFTLY)
    assert peak(pulled(mix, 220)) == round(20_000 * SOFTLY)


@given(samples=st.lists(st.integers(-LOUDEST - 1, LOUDEST), max_size=60), gain=st.floats(0, 1))
@settings(derandomize=True)
def test_no_gain_makes_a_sample_louder_or_turns_it_over(samples: list[int], gain: float) -> None:
    for before, after in zip(samples, scaled(array("h", samples), gain), strict=True):
        assert before * after >= 0
        assert abs(after) <= abs(before)


@given(
    samples=st.lists(st.integers(-LOUDEST - 1, LOUDEST), max_size=60),
    wanted=st.integers(0, LOUDEST),
)
@settings(derandomize=True)
def test_a_level_is_met_by_the_loudest_sample(samples: list[int], wanted: int) -> None:
    levelled = with_peak(array("h", samples), wanted)
    assert peak(levelled) <= wanted
    assert peak(levelled) >= wanted - 1 or not any(samples)


@given(
    one=st.lists(st.integers(-LOUDEST - 1, LOUDEST), max_size=60),
    other=st.lists(st.integers(-LOUDEST - 1, LOUDEST), max_size=60),
)
@settings(derandomize=True)
def test_two_sounds_together_are_held_and_never_wrap(one: list[int], other: list[int]) -> None:
    both = added(array("h", one), array("h", other))
    length = max(len(one), len(other))
    padded = [side + [0] * (length - len(side)) for side in (one, other)]
    assert list(both) == [
        max(-LOUDEST - 1, min(LOUDEST, a + b)) for a, b in zip(*padded, strict=True)
    ]


@pytest.mark.parametrize("frames", [1, 7, 220, 221, 4_096])
def test_how_much_the_card_pulls_at_a_time_changes_nothing(frames: int) -> None:
    tone = array("h", [round(12_000 * sin(2 * pi * 440 * i / RATE)) for i in range(3_000)])
    mix = Mix(RATE)
    put(mix, tone, gain=0.5)
    out = array("h")
    while mix.busy:
        out += samples_of(Clip(mix.pull(frames), RATE))
    assert out == scaled(tone, 0.5)
