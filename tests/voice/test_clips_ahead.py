"""Answers are rendered before they are asked for."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from itertools import count

import pytest

from showtime.voice import Clip, ClipStore, EmbeddedVoice, VoiceError


class Speaker:
    """A voice that says a second of silence, counts, and can be held up."""

    def __init__(self) -> None:
        self.rendered: list[str] = []
        self.go_on = threading.Event()
        self.go_on.set()

    def render(self, text: str, language: str) -> Clip:
        assert self.go_on.wait(5)
        self.rendered.append(text)
        if "mumble" in text:
            raise VoiceError(f"cannot say {text!r}; write it plainer")
        return Clip(bytes(2_000), 1_000)


@pytest.fixture
def speaker() -> Speaker:
    return Speaker()


@pytest.fixture
def told() -> list[str]:
    return []


@pytest.fixture
def store(speaker: Speaker, told: list[str]) -> Iterator[ClipStore]:
    made = ClipStore(speaker, most_bytes=10_000, told=told.append)
    yield made
    speaker.go_on.set()
    made.close()


def before_long(holds: Callable[[], bool]) -> bool:
    until = time.monotonic() + 5
    while not holds() and time.monotonic() < until:
        time.sleep(0.002)
    return holds()


def test_a_clip_wanted_ahead_is_there_without_rendering(store: ClipStore, speaker: Speaker) -> None:
    store.wanted("two o'clock", "en")
    assert before_long(lambda: store.is_ready("two o'clock", "en"))
    assert store.clip("two o'clock", "en").seconds == 1
    assert speaker.rendered == ["two o'clock"]


def test_wanting_returns_while_the_voice_is_still_speaking(
    store: ClipStore, speaker: Speaker
) -> None:
    speaker.go_on.clear()
    begun = time.monotonic()
    for hour in range(12):
        store.wanted(f"{hour} o'clock", "en")
    assert time.monotonic() - begun < 0.5
    assert speaker.rendered == []


def test_a_clip_nobody_wanted_is_rendered_now_and_kept(store: ClipStore, speaker: Speaker) -> None:
    assert store.clip("a surprise", "en") == store.clip("a surprise", "en")
    assert speaker.rendered == ["a surprise"]


def test_the_same_words_in_another_language_are_another_clip(
    store: ClipStore, speaker: Speaker
) -> None:
    store.clip("10", "en")
    store.clip("10", "de")
    assert speaker.rendered == ["10", "10"]


def test_wanted_twice_is_rendered_once(store: ClipStore, speaker: Speaker) -> None:
    speaker.go_on.clear()
    for _ in range(5):
        store.wanted("once", "en")
    speaker.go_on.set()
    assert store.clip("once", "en").seconds == 1
    store.wanted("once", "en")
    assert before_long(lambda: store.is_ready("once", "en"))
    assert speaker.rendered == ["once"]


def test_asked_while_it_is_being_rendered_it_is_not_rendered_again(
    store: ClipStore, speaker: Speaker
) -> None:
    speaker.go_on.clear()
    store.wanted("just now", "en")
    threading.Timer(0.1, speaker.go_on.set).start()
    time.sleep(0.05)
    assert store.clip("just now", "en").seconds == 1
    assert speaker.rendered == ["just now"]


def test_memory_is_bounded_and_what_was_asked_last_stays(store: ClipStore) -> None:
    for number in range(5):
        store.clip(str(number), "en")
    store.clip("0", "en")
    store.clip("5", "en")
    assert store.bytes_held == 10_000
    assert store.is_ready("0", "en")
    assert not store.is_ready("1", "en")


def test_a_clip_larger_than_the_memory_is_given_but_not_kept(speaker: Speaker) -> None:
    store = ClipStore(speaker, most_bytes=100)
    assert store.clip("large", "en").seconds == 1
    assert store.bytes_held == 0


def test_of_too_many_wishes_the_oldest_are_forgotten(store: ClipStore, speaker: Speaker) -> None:
    speaker.go_on.clear()
    for number in range(ClipStore.MOST_WAITING + 50):
        store.wanted(str(number), "en")
    speaker.go_on.set()
    last = str(ClipStore.MOST_WAITING + 49)
    assert before_long(lambda: store.is_ready(last, "en"))
    assert len(speaker.rendered) <= ClipStore.MOST_WAITING + 1


def test_what_could_not_be_rendered_is_kept_and_told_once(
    store: ClipStore, told: list[str]
) -> None:
    store.wanted("mumble", "en")
    assert before_long(lambda: len(store.failures) == 1)
    store.wanted("mumble", "en")
    assert before_long(lambda: len(store.failures) == 2)
    assert store.failures[0].why == "cannot say 'mumble'; write it plainer"
    assert (store.failures[0].text, store.failures[0].language) == ("mumble", "en")
    store.wanted("still speaking", "en")
    assert before_long(lambda: store.is_ready("still speaking", "en"))
    assert told == [store.failures[0].why]


def test_asking_for_what_cannot_be_rendered_says_why(store: ClipStore) -> None:
    with pytest.raises(VoiceError, match="write it plainer"):
        store.clip("mumble", "en")


def test_a_closed_store_leaves_no_thread_and_still_answers(speaker: Speaker) -> None:
    store = ClipStore(speaker)
    store.wanted("early", "en")
    assert before_long(lambda: store.is_ready("early", "en"))
    store.close()
    assert "clips" not in {thread.name for thread in threading.enumerate()}
    store.wanted("too late", "en")
    assert store.clip("early", "en").seconds == 1
    assert store.clip("late", "en").seconds == 1
    store.close()
    assert "too late" not in speaker.rendered


def test_many_threads_asking_at_once_all_get_their_clips(
    store: ClipStore, speaker: Speaker
) -> None:
    got: list[Clip] = []

    def ask(name: int) -> None:
        for number in range(20):
            store.wanted(f"{(name + number) % 7}", "en")
            got.append(store.clip(f"{number % 7}", "en"))

    threads = [threading.Thread(target=ask, args=(name,)) for name in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(10)
    assert len(got) == 80


def texts(*words: str) -> list[tuple[str, str]]:
    return [(word, "en") for word in words]


def all_ready(store: ClipStore, *words: str) -> bool:
    return before_long(lambda: all(store.is_ready(word, "en") for word in words))


def test_what_is_expected_is_rendered_the_soonest_first(store: ClipStore, speaker: Speaker) -> None:
    store.expected(texts("five past", "ten past", "quarter past"))
    assert all_ready(store, "five past", "ten past", "quarter past")
    assert speaker.rendered == ["five past", "ten past", "quarter past"]


def test_what_is_wanted_comes_before_what_is_expected(store: ClipStore, speaker: Speaker) -> None:
    speaker.go_on.clear()
    store.wanted("being said", "en")
    store.expected(texts("five past", "ten past"))
    store.wanted("now", "en")
    speaker.go_on.set()
    assert all_ready(store, "five past", "ten past", "now")
    assert speaker.rendered.index("now") < speaker.rendered.index("five past")


def test_a_new_expectation_takes_the_place_of_the_old_one(
    store: ClipStore, speaker: Speaker
) -> None:
    speaker.go_on.clear()
    store.wanted("being said", "en")
    store.expected(texts("five past", "ten past", "quarter past"))
    store.expected(texts("ten past", "half past"))
    speaker.go_on.set()
    assert all_ready(store, "ten past", "half past")
    assert "five past" not in speaker.rendered
    assert "quarter past" not in speaker.rendered


def test_what_is_expected_is_kept_before_what_was_asked_last(store: ClipStore) -> None:
    """Five clips have room."""
    store.expected(texts("five past", "ten past", "quarter past"))
    assert all_ready(store, "five past", "ten past", "quarter past")
    for number in range(10):
        store.clip(str(number), "en")
    assert all_ready(store, "five past", "ten past", "quarter past", "9")
    assert store.bytes_held == 10_000


def test_of_more_than_there_is_room_for_the_latest_are_left_out(
    store: ClipStore, speaker: Speaker
) -> None:
    words = [str(number) for number in range(12)]
    store.expected(texts(*words))
    assert all_ready(store, *words[:5])
    assert before_long(lambda: len(speaker.rendered) >= 6)
    time.sleep(0.05)
    assert store.bytes_held == 10_000
    assert len(speaker.rendered) == len(set(speaker.rendered)), "rendered only to be let go of"
    assert [word for word in words if store.is_ready(word, "en")] == words[:5]


def test_a_sooner_one_takes_the_place_of_the_latest(store: ClipStore) -> None:
    store.expected(texts("1", "2", "3", "4", "5"))
    assert all_ready(store, "1", "2", "3", "4", "5")
    store.expected(texts("0", "1", "2", "3", "4", "5"))
    assert all_ready(store, "0", "1", "2", "3", "4")
    assert before_long(lambda: not store.is_ready("5", "en"))


def test_what_cannot_be_said_does_not_hold_up_what_can(
    store: ClipStore, speaker: Speaker, told: list[str]
) -> None:
    store.expected(texts("mumble", "ten past"))
    assert all_ready(store, "ten past")
    time.sleep(0.05)
    assert speaker.rendered == ["mumble", "ten past"]
    assert len(told) == 1


def test_whoever_waits_is_served_before_all_that_is_expected(
    store: ClipStore, speaker: Speaker
) -> None:
    """A press on a clip that is not there waits for the one in hand at most."""
    speaker.go_on.clear()
    store.expected(texts(*map(str, range(100))))
    assert before_long(lambda: len(threading.enumerate()) > 1)
    press = threading.Thread(target=store.clip, args=("now", "en"))
    press.start()
    time.sleep(0.05)
    speaker.go_on.set()
    press.join(5)
    assert speaker.rendered.index("now") <= 1


def test_an_endless_expectation_is_cut(store: ClipStore, speaker: Speaker) -> None:
    speaker.go_on.clear()
    store.expected((str(number), "en") for number in count())
    store.expected(texts("half past"))
    speaker.go_on.set()
    assert all_ready(store, "half past")


def test_a_press_that_fails_does_not_stop_the_background(store: ClipStore) -> None:
    with pytest.raises(VoiceError):
        store.clip("mumble", "en")
    store.expected(texts("ten past"))
    assert all_ready(store, "ten past")


def test_half_an_hour_of_answers_in_three_languages_has_room() -> None:
    """An answer a minute, at the length of a real one."""
    clip = EmbeddedVoice().render("The Pear Dance begins at half past two, and not before.", "en")
    assert 30 * 3 * len(clip.samples) < 16_000_000


def test_the_embedded_voice_is_rendered_ahead_like_any_other() -> None:
    store = ClipStore(EmbeddedVoice())
    store.wanted("half past two", "en")
    assert before_long(lambda: store.is_ready("half past two", "en"))
    assert store.clip("half past two", "en").seconds > 0.4
    store.close()
