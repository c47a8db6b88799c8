"""Sentences become clips: whatever the maker wrote, in every language of the phrase banks."""

from __future__ import annotations

import threading
from itertools import combinations, pairwise
from statistics import correlation

import pytest

from showtime.voice import Clip, EmbeddedVoice, VoiceError
from showtime.voice.samples import LOUDEST, peak, samples_of
from showtime.voice.spoken_text import LONGEST, spoken_text

SENTENCE = "The Pear Dance begins at half past two."


@pytest.fixture(scope="module")
def voice() -> EmbeddedVoice:
    return EmbeddedVoice()


def outline(clip: Clip) -> list[float]:
    """How loud each 10 ms are."""
    samples = samples_of(clip)
    width = clip.rate // 100
    pieces = [samples[i : i + width] for i in range(0, len(samples) - width, width)]
    return [sum(map(abs, piece)) / width for piece in pieces]


def brightness(clip: Clip) -> float:
    """How often a second the sound crosses zero."""
    return sum((a < 0) != (b < 0) for a, b in pairwise(samples_of(clip))) / clip.seconds


def alike(one: Clip, other: Clip) -> bool:
    """The same words by the same voice.

    The synthesiser takes up its pitch where it left off, so that the start moves by up to one
    period of it, about 10 ms, and the samples are never quite the same.
    """
    if (
        abs(one.seconds - other.seconds) > 0.03
        or not 0.95 < brightness(one) / brightness(other) < 1.05
    ):
        return False
    here, there = outline(one), outline(other)
    shifted = [(here[2:], there[by:]) for by in range(5)]
    return any(correlation(*zip(*zip(a, b, strict=False), strict=True)) > 0.88 for a, b in shifted)


def loudness(clip: Clip) -> float:
    samples = samples_of(clip)
    return (sum(sample * sample for sample in samples) / len(samples)) ** 0.5 / LOUDEST


def test_a_sentence_takes_about_as_long_as_a_person_would(voice: EmbeddedVoice) -> None:
    assert 1.5 < voice.render(SENTENCE, "en").seconds < 3.5


def test_the_same_words_sound_the_same_every_time(voice: EmbeddedVoice) -> None:
    first = voice.render(SENTENCE, "en")
    voice.render("Etwas anderes dazwischen", "de")
    EmbeddedVoice("en-us+croak", words_a_minute=300).render(SENTENCE, "en")
    assert alike(voice.render(SENTENCE, "en"), first)
    assert not alike(voice.render("Frost Bells begins at half past two.", "en"), first)


@pytest.mark.parametrize("language", ["en", "de", "nl", "fr", "es", "it", "cy", "en-GB", "pt_BR"])
def test_every_language_speaks_loud_but_never_clips(voice: EmbeddedVoice, language: str) -> None:
    clip = voice.render("1, 2, 3, Barnaby Rook.", language)
    assert 0.3 * LOUDEST < peak(samples_of(clip)) <= 0.8 * LOUDEST
    assert loudness(clip) > 0.05


def test_languages_sound_different(voice: EmbeddedVoice) -> None:
    clips = [voice.render("14:30", language) for language in ("en", "de", "fr", "es")]
    assert not any(alike(one, other) for one, other in combinations(clips, 2))


def test_a_faster_speaker_is_sooner_done() -> None:
    slow, fast = (EmbeddedVoice(words_a_minute=pace).render(SENTENCE, "en") for pace in (120, 240))
    assert fast.seconds < 0.7 * slow.seconds


def test_the_sound_starts_at_once_and_ends_soon_after_the_words(voice: EmbeddedVoice) -> None:
    samples = samples_of(voice.render("two o'clock", "en"))
    loud = [i for i, sample in enumerate(samples) if abs(sample) > LOUDEST // 100]
    assert loud[0] < 0.03 * 22_050
    assert len(samples) - loud[-1] < 0.15 * 22_050


@pytest.mark.parametrize(
    ("odd", "plain"),
    [
        ("  two \n\n thirty\t", "two thirty"),
        ("two\x00thirty\x07", "two thirty"),
        ("<speak>two <b>thirty</b></speak>", "speak two b thirty /b /speak"),
        ("[[tu:]] two", "tu: two"),
        ("two \ud83d thirty", "two thirty"),
    ],
)
def test_odd_text_is_read_as_plain_words(odd: str, plain: str) -> None:
    assert spoken_text(odd) == plain


@pytest.mark.parametrize(
    "text",
    [
        "5 p.m.!?",
        "£3.50 & more",
        "Zwölf Äpfel — «süß»",
        "日本語",
        "🎉",
        "a" * 500,
        "'; DROP TABLE pieces; --",
        "%s %n {0} \\x41",
        "<?xml version='1.0'?><audio src='/etc/passwd'/>",
        "-" * 300 + " five",
    ],
)
def test_odd_text_is_spoken_all_the_same(voice: EmbeddedVoice, text: str) -> None:
    assert voice.render(text, "en").seconds > 0.1


@pytest.mark.parametrize("text", ["", "   ", "...", "—", "\x00\x01", "\ud800", "<>"])
def test_text_without_a_word_is_refused_with_a_reason(voice: EmbeddedVoice, text: str) -> None:
    with pytest.raises(VoiceError, match="nothing to speak"):
        voice.render(text, "en")


def test_a_very_long_text_is_cut_between_words(voice: EmbeddedVoice) -> None:
    endless = "the apples of the tin orchard " * 5_000
    line = spoken_text(endless)
    assert len(line) <= LONGEST
    assert endless.startswith(line + " ")
    assert voice.render(endless, "en").seconds < 120


def test_one_word_longer_than_all_is_cut_too() -> None:
    assert len(spoken_text("x" * 10_000)) == LONGEST


def test_a_language_without_a_voice_is_refused_with_a_reason(voice: EmbeddedVoice) -> None:
    with pytest.raises(VoiceError, match="no voice speaks the language 'xx'"):
        voice.render("hello", "xx")


@pytest.mark.parametrize("name", ["gmw/en-gb-scotland", "en-gb-scotland", "English (Scotland)"])
def test_the_keeper_may_choose_a_voice_by_any_of_its_names(voice: EmbeddedVoice, name: str) -> None:
    chosen = EmbeddedVoice(name)
    assert chosen.trouble == ""
    spoken = chosen.render(SENTENCE, "en")
    assert not alike(spoken, voice.render(SENTENCE, "en"))
    assert alike(spoken, EmbeddedVoice("EN-GB-SCOTLAND").render(SENTENCE, "en"))


def test_a_variant_gives_the_figure_a_character_of_its_own(voice: EmbeddedVoice) -> None:
    high = EmbeddedVoice("en-us+f3")
    assert high.trouble == ""
    assert not alike(high.render(SENTENCE, "en"), voice.render(SENTENCE, "en"))


def test_a_chosen_voice_leaves_other_languages_to_voices_that_speak_them(
    voice: EmbeddedVoice,
) -> None:
    croaking = EmbeddedVoice("en-us+croak")
    assert alike(croaking.render("halb drei", "de"), voice.render("halb drei", "de"))


@pytest.mark.parametrize(
    ("name", "near"), [("en-uss", "en-us"), ("gmw/en-use", "en-us"), ("en-us+croack", "croak")]
)
def test_a_missing_voice_is_one_line_with_near_names_and_the_default_speaks(
    voice: EmbeddedVoice, name: str, near: str
) -> None:
    missing = EmbeddedVoice(name)
    assert near in missing.trouble
    assert "\n" not in missing.trouble
    assert alike(missing.render(SENTENCE, "en"), voice.render(SENTENCE, "en"))


def test_a_name_like_no_other_is_still_one_line_that_helps() -> None:
    assert "there is" in EmbeddedVoice("qqqq").trouble


def test_threads_that_speak_at_once_do_not_mix_their_words(voice: EmbeddedVoice) -> None:
    texts = [(f"number {'and ' * i} ten", "en" if i % 2 else "de") for i in range(12)]
    alone = {text: voice.render(*text) for text in texts}
    together: dict[tuple[str, str], Clip] = {}

    def speak(mine: list[tuple[str, str]]) -> None:
        for text in mine:
            together[text] = voice.render(*text)

    threads = [threading.Thread(target=speak, args=(texts[i::4],)) for i in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert together.keys() == alone.keys()
    assert all(alike(together[text], alone[text]) for text in texts)


def test_answers_in_quick_succession_all_have_their_whole_sound(
    voice: EmbeddedVoice, full: bool
) -> None:
    """The synthesiser's own thread once ate one in ten; each from another thread, as on the day."""
    once = voice.render("number three", "en").seconds
    spoken: list[Clip] = []
    for _ in range(1_000 if full else 60):
        speaker = threading.Thread(target=lambda: spoken.append(voice.render("number three", "en")))
        speaker.start()
        speaker.join()
    assert all(abs(clip.seconds - once) < 0.03 for clip in spoken)
    assert len(spoken) == (1_000 if full else 60)


def test_nothing_is_printed(voice: EmbeddedVoice, capfd: pytest.CaptureFixture[str]) -> None:
    voice.render(SENTENCE, "en")
    assert capfd.readouterr() == ("", "")
