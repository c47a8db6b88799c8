"""A machine that never saw this project listens to the times that the figure speaks.

Listener: CMU PocketSphinx (https://github.com/cmusphinx/pocketsphinx) with the American English
model that it ships, and a JSGF grammar (W3C Note of 5 June 2000) of the times that may be said.
It hears the clip as a microphone would: at 16 kHz, at a usual level, half a second of a quiet
room before and after, and that room's noise beneath it. (Common practice: in perfect digital
silence, which no microphone gives, it loses the soft ends of words.)
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from showtime.live.hearing import usual
from showtime.voice import Clip, EmbeddedVoice
from showtime.voice.listening import (
    RATE,
    ListeningError,
    Stranger,
    as_heard,
    can_listen,
    listened,
)
from showtime.voice.listening_crowd import Crowd, at_rate, speaking_level
from showtime.wording import clock

Times = dict[str, int]
LINES = (
    "my clock has stopped",
    "please ask my keeper",
    "the show is called off",
    "mind how you go",
)


def every_idiom() -> Times:
    """All idioms of each five-minute time that are true before noon and after it."""
    english = clock("en")
    return {
        idiom: hour * 60 + minute
        for hour in range(12)
        for minute in range(0, 60, 5)
        for idiom in english.idioms(hour, minute)
        if idiom in english.idioms(hour + 12, minute)
    }


def misheard(spoken: Times, expected: Times) -> list[str]:
    """What was not understood as its own time, with the words it was taken for."""
    return [
        f"{each.spoken!r} as {each.heard!r}"
        for each in listened(EmbeddedVoice(), spoken, expected, (None,))
        if not each.right
    ]


def report(wrong: list[str], spoken: int, record: Callable[[str, object], None]) -> None:
    """No mishearing goes without being reported: in the output and in the test report."""
    record("misheard", "; ".join(wrong))
    print(f"heard right: {spoken - len(wrong)} of {spoken}", *wrong, sep="\n  misheard ")


def test_a_stranger_hears_the_right_time(record_property: Callable[[str, object], None]) -> None:
    """At least 97 % of the 144 five-minute times, each in the words the clock prefers."""
    spoken = usual(clock("en"))
    assert len(spoken) == 144
    wrong = misheard(spoken, spoken)
    report(wrong, len(spoken), record_property)
    assert len(wrong) <= 0.03 * len(spoken), wrong


def test_a_stranger_hears_the_right_time_in_any_wording(
    record_property: Callable[[str, object], None], full: bool
) -> None:
    """The same among all idioms at once: a third of them in a full run, a few otherwise."""
    every = every_idiom()
    chosen = dict(list(every.items())[:: 3 if full else 37])
    wrong = misheard(chosen, every)
    report(wrong, len(chosen), record_property)
    assert len(wrong) <= max(1, 0.03 * len(chosen)), wrong


def test_the_listener_would_notice_a_wrong_time() -> None:
    stranger, voice = Stranger(["half past two", "half past nine", "ten to four"]), EmbeddedVoice()
    assert stranger.hear(voice.render("half past nine", "en")) == "half past nine"
    assert stranger.hear(voice.render("ten to four", "en")) == "ten to four"


def test_a_crowd_makes_it_harder() -> None:
    """Beside a crowd as loud as the voice no more is understood than far above one."""
    spoken = dict(list(usual(clock("en")).items())[::9])
    crowd = Crowd(LINES, "en", RATE)
    heard = list(listened(EmbeddedVoice(), spoken, usual(clock("en")), (30.0, 0.0), crowd))
    far, near = (sum(e.right for e in heard if e.above_crowd_db == db) for db in (30.0, 0.0))
    print(f"understood of {len(spoken)}: {far} 30 dB above a crowd, {near} beside it")
    assert far >= 0.9 * len(spoken)
    assert near < 0.5 * far


@pytest.mark.parametrize("above", [20.0, 10.0, 0.0, -5.0])
def test_the_crowd_is_as_far_below_the_voice_as_was_asked(above: float) -> None:
    """The signal-to-noise ratio is 20 lg of the ratio of root mean squares, by its definition."""
    spoken = at_rate(EmbeddedVoice().render("half past two", "en"), RATE)
    under = Crowd(LINES, "en", RATE).under(spoken, above, len(spoken))
    level = (sum(x * x for x in under) / len(under)) ** 0.5
    assert speaking_level(spoken) / level == pytest.approx(10 ** (above / 20), rel=1e-6)


def test_another_rate_is_the_same_sound() -> None:
    """Against a polyphase resampler that is not ours: scipy.signal.resample_poly."""
    import numpy as np
    from scipy.signal import resample_poly

    place = np.arange(22_050)
    tones = sum(np.sin(2 * np.pi * hertz * place / 22_050) for hertz in range(150, 6000, 390))
    samples = (tones * np.hanning(len(place)) * 1500).astype("<i2")
    ours = at_rate(Clip(samples.tobytes(), 22_050), RATE)
    theirs = resample_poly(samples / 32768, RATE, 22_050)
    length = min(len(ours), len(theirs))
    apart = np.sqrt(((ours[:length] - theirs[:length]) ** 2).mean() / (theirs**2).mean())
    assert apart < 0.01


def test_other_languages_are_declined() -> None:
    with pytest.raises(ListeningError, match="English only"):
        can_listen("de")


def test_a_word_that_the_listener_does_not_know_is_named() -> None:
    with pytest.raises(ListeningError, match="zwoelf"):
        Stranger(["half past zwoelf"])


def test_silence_is_not_taken_for_a_time() -> None:
    assert Stranger(["half past two"]).hear(Clip(bytes(22050), 22050)) == ""


def test_what_is_written_with_a_hyphen_is_heard_without() -> None:
    assert as_heard("Twenty-five to Three") == "twenty five to three"
