"""How the figure speaks is what was asked for: measured on the sound, not on the settings."""

from __future__ import annotations

from array import array
from statistics import median

import numpy as np
import pytest

from showtime.voice import Clip, EmbeddedVoice, Manner, voices
from showtime.voice.levelling import FADE_S, TARGET_LUFS
from showtime.voice.loudness import loudness
from showtime.voice.samples import samples_of

SENTENCES = {
    "en": "The Pear Dance begins at half past two, here at the Tin Orchard, among the neighbours.",
    "de": "Die nächste Vorstellung beginnt um halb drei, hier am Stand, gleich nebenan.",
    "nl": "De volgende voorstelling begint om half drie, hier bij de kraam, vlakbij.",
    "fr": "La prochaine séance commence à deux heures et demie, ici, tout près de vous.",
    "es": "La próxima función empieza a las dos y media, aquí mismo, muy cerca de ustedes.",
    "it": "Il prossimo spettacolo comincia alle due e mezza, qui da noi, molto vicino.",
    "cy": "Mae'r perfformiad nesaf am hanner awr wedi dau, yma yn y berllan, yn agos.",
}
TIMES = ["half past two", "ten to four", "quarter past eleven", "five o'clock", "noon"]


def spoken(manner: Manner, language: str = "en") -> Clip:
    return EmbeddedVoice(manner).render(SENTENCES[language], language)


def fundamental(clip: Clip) -> float:
    """The median pitch of the voiced parts in hertz, by autocorrelation over 100 ms."""
    sound, width = np.array(array("h", clip.samples), float), clip.rate // 10
    found = []
    for begin in range(0, len(sound) - width, width // 4):
        part = sound[begin : begin + width] - sound[begin : begin + width].mean()
        if np.sqrt((part**2).mean()) < 1_000:
            continue
        alike = np.correlate(part, part, "full")[width - 1 :] / (part**2).sum()
        shortest, longest = clip.rate // 450, clip.rate // 50
        lag = shortest + int(np.argmax(alike[shortest:longest]))
        if alike[lag] > 0.5:
            found.append(clip.rate / lag)
    assert len(found) > 10, "hardly anything is voiced"
    return median(found)


@pytest.mark.parametrize("language", SENTENCES)
def test_every_language_has_a_voice_that_speaks_it(language: str) -> None:
    found = voices(language)
    assert found.chosen is not None
    assert found.chosen.speaks(language)
    assert 3 < spoken(Manner(), language).seconds < 9


@pytest.mark.parametrize("language", ["en", "de", "fr", "it"])
def test_the_pace_is_in_words_a_minute(language: str) -> None:
    """Half the pace takes about twice as long; not quite, for pauses keep their length."""
    seconds = {
        pace: spoken(Manner(words_a_minute=pace), language).seconds for pace in (90, 180, 360)
    }
    assert 1.7 < seconds[90] / seconds[180] < 2.3
    assert 1.5 < seconds[180] / seconds[360] < 2.3


def test_english_is_about_as_fast_as_it_says() -> None:
    words = len(SENTENCES["en"].split())
    for pace in (120, 170, 240):
        assert 0.75 < words / spoken(Manner(words_a_minute=pace)).seconds * 60 / pace < 1.35


@pytest.mark.parametrize("language", SENTENCES)
@pytest.mark.parametrize("pitch", [60, 80, 125, 160])
def test_the_pitch_is_in_percent_of_the_voices_own(language: str, pitch: float) -> None:
    own = fundamental(spoken(Manner(), language))
    assert fundamental(spoken(Manner(pitch=pitch), language)) == pytest.approx(
        own * pitch / 100, rel=0.1
    )


def test_a_higher_voice_is_no_faster() -> None:
    low, high = spoken(Manner(pitch=70)).seconds, spoken(Manner(pitch=150)).seconds
    assert low == pytest.approx(high, rel=0.05)


@pytest.mark.parametrize(("volume", "softer"), [(100, 0), (50, 6.02), (25, 12.04), (10, 20)])
def test_the_volume_is_in_percent_of_the_largest_swing(volume: float, softer: float) -> None:
    clip = spoken(Manner(volume=volume))
    assert loudness(samples_of(clip), clip.rate) == pytest.approx(TARGET_LUFS - softer, abs=0.3)


@pytest.mark.parametrize(
    ("wild", "tame"),
    [
        (Manner(words_a_minute=1), Manner(words_a_minute=80)),
        (Manner(words_a_minute=9_999), Manner(words_a_minute=450)),
        (Manner(pitch=0), Manner(pitch=60)),
        (Manner(pitch=-5), Manner(pitch=60)),
        (Manner(pitch=10_000), Manner(pitch=160)),
        (Manner(volume=0), Manner(volume=1)),
        (Manner(volume=500), Manner(volume=100)),
    ],
)
def test_what_no_voice_can_do_counts_as_the_nearest_that_one_can(
    wild: Manner, tame: Manner
) -> None:
    assert (wild.pace, wild.height, wild.gain) == (tame.pace, tame.height, tame.gain)
    assert spoken(wild).seconds == pytest.approx(spoken(tame).seconds, rel=0.05)


@pytest.mark.parametrize("manner", [Manner(), Manner(words_a_minute=450), Manner(volume=20)])
@pytest.mark.parametrize("text", TIMES)
def test_both_ends_are_soft_and_nothing_reaches_full_scale(manner: Manner, text: str) -> None:
    clip = EmbeddedVoice(manner).render(text, "en")
    samples = samples_of(clip)
    edge = round(FADE_S * clip.rate)
    highest = max(map(abs, samples))
    assert highest <= 0.8 * 32_767
    assert samples[0] == samples[-1] == 0
    for end in (samples[:edge], samples[-edge:][::-1]):
        quarters = [max(map(abs, end[i : i + edge // 4])) for i in range(0, edge, edge // 4)]
        assert quarters[0] < 0.02 * highest
        assert max(quarters) < 0.2 * highest


def test_the_first_sound_of_a_word_is_not_faded_away() -> None:
    """A "t" is over in 20 ms; "two" would become "oo"."""
    for text in TIMES:
        clip = EmbeddedVoice().render(text, "en")
        samples = samples_of(clip)
        loud = next(i for i, each in enumerate(samples) if abs(each) > 400)
        assert round(0.9 * FADE_S * clip.rate) <= loud < 0.06 * clip.rate, text


def test_each_language_speaks_in_its_own_manner() -> None:
    voice = EmbeddedVoice(
        Manner("en-us", 170),
        by_language={"de": Manner("", 90), "en-gb": Manner("en-gb-scotland", pitch=140)},
    )
    assert voice.trouble == ""
    plain = EmbeddedVoice()
    seconds = {tag: plain.render(SENTENCES[tag], tag).seconds for tag in ("en", "de", "fr")}
    assert voice.render(SENTENCES["de"], "de").seconds > 1.6 * seconds["de"]
    assert voice.render(SENTENCES["de"], "de-AT").seconds > 1.6 * seconds["de"]
    assert voice.render(SENTENCES["en"], "en").seconds == pytest.approx(seconds["en"], rel=0.02)
    assert voice.render(SENTENCES["fr"], "fr").seconds == pytest.approx(seconds["fr"], rel=0.02)
    higher = fundamental(voice.render(SENTENCES["en"], "en_GB"))
    assert higher > 1.25 * fundamental(
        EmbeddedVoice("en-gb-scotland").render(SENTENCES["en"], "en")
    )


def test_every_missing_voice_is_named_with_its_place() -> None:
    voice = EmbeddedVoice(
        Manner("en-uss", where="stall.yaml:3:9"),
        by_language={"de": Manner("deu+croack", where="stall.yaml:5:16"), "fr": Manner("fr+f9")},
    )
    first, second, third = voice.troubles
    assert first.startswith("stall.yaml:3:9: there is no voice called 'en-uss'; did you mean en-us")
    assert second.startswith("stall.yaml:5:16: there is no voice called 'deu'; did you mean ")
    assert third.startswith("there is no variant of a voice called 'f9'; did you mean f")
    assert voice.trouble == first
    assert voice.render("halb drei", "de").seconds > 0.4


def test_a_manner_does_not_stay_with_the_next_voice() -> None:
    before = spoken(Manner())
    spoken(Manner("en-us+f3", 300, pitch=160, volume=10))
    after = spoken(Manner())
    assert after.seconds == pytest.approx(before.seconds, abs=0.03)
    assert fundamental(after) == pytest.approx(fundamental(before), rel=0.03)


def test_every_voice_that_is_offered_makes_a_sound(full: bool) -> None:
    everyone = voices().voices
    assert len(everyone) > 100
    for voice in everyone[:: 1 if full else 9]:
        assert EmbeddedVoice(voice.id).render("1 2 3 Barnaby Rook", voice.short).seconds > 0.3


def test_every_variant_makes_a_sound(full: bool) -> None:
    for variant in voices().variants[:: 1 if full else 9]:
        voice = EmbeddedVoice(f"en-us+{variant}")
        assert voice.trouble == ""
        clip = voice.render("half past two", "en")
        assert loudness(samples_of(clip), clip.rate) == pytest.approx(TARGET_LUFS, abs=1.0)
