"""An answer may be given in two languages, one after the other; both tell the same start."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from showtime.live import DayState, Journal, RunningDay, World
from showtime.live.fold import fold
from showtime.live.journal.recorder import Recorder
from showtime.live.ports import IdleFigure, WordsOnly
from showtime.settings import shipped
from showtime.wording import parse_bank, times_told


class Hearing(WordsOnly):
    """Remembers what it was given to say, and what to prepare."""

    def __init__(self, clock):
        super().__init__(clock)
        self.heard, self.prepared = [], []

    def prepare(self, text, language):
        self.prepared.append((text, language))

    def say(self, said, *, softly):
        super().say(said, softly=softly)
        self.heard.append(tuple(said))


@pytest.fixture
def in_both(open_stage, short_plan, english):
    """The short day answered in German after English, its voice and its journal."""
    german = parse_bank(shipped("phrasebanks/de.yaml").read_text("utf-8"), "de.yaml")
    stage = open_stage("09:50")
    day = stage.day
    board = replace(day.signboard, languages=("en", "de"), answers_in=("en", "de"))
    voice, journal = Hearing(stage.clock), Journal()
    world = World(
        journal=Recorder(journal),
        clock=stage.clock,
        alarms=stage.clock,
        speech=voice,
        figure=IdleFigure(),
        banks={"en": english, "de": german},
        random=random.Random(3),
        replanner=lambda state, now: None,
    )
    running = RunningDay(DayState(replace(day, signboard=board), stage.state.keep_within), world)
    running.begin(short_plan, None)
    stage.turn("10:05")
    return running, voice, journal, stage


def test_both_are_said_in_their_order_and_tell_the_same_start(in_both):
    running, voice, _, stage = in_both
    answered = running.asked("key")
    (said,) = voice.heard
    assert [language for _, language in said] == ["en", "de"]
    assert [text for text, _ in said] == [each.text for each in answered.every]
    for text, language in said:
        (told,) = times_told(text, language)
        assert told.means(stage.at("10:30"), stage.clock.now())


def test_it_is_one_answer_one_promise_and_two_sentences_that_are_not_said_again(in_both):
    running, _, journal, stage = in_both
    for minute in range(6, 20):
        stage.turn(f"10:{minute:02}")
        running.asked("key")
    assert running.state.asked == 14
    assert [promise.times for promise in running.state.promises] == [14]
    assert len(running.state.said) == len(set(running.state.said)) == 28
    again = DayState(running.state.day, running.state.keep_within)
    assert fold(again, journal) == running.state


def test_both_were_ready_before_anybody_asked(in_both):
    running, voice, _, stage = in_both
    stage.turn("10:06")
    answered = running.asked("key")
    assert {(each.text, each.language) for each in answered.every} <= set(voice.prepared)


def test_an_older_journal_has_answers_in_one_language(tmp_path):
    from showtime.live.journal.codec import decode

    body = (
        '["2027-02-13T10:05:00+00:00","key","next","At noon.","en",1,'
        '"2027-02-13T12:00:00+00:00","aloud"]'
    )
    answered = decode("Answered", body)
    assert answered.also == ()
    assert answered.whole == "At noon."
