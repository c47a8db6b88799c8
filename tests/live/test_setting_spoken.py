"""A time is set on the figure: it speaks back, agrees, refuses with the nearest, and never promises
what was not agreed upon."""

from __future__ import annotations

import random
from datetime import timedelta

import pytest

from showtime.fair.wiring import Sets
from showtime.live import House, Outcome
from showtime.live import events as happened
from showtime.live.clock.trust import Doubted
from showtime.live.setting import BARS, Setting
from showtime.settings import shipped
from showtime.wording import LANGUAGES, Bar, Kind, Situation, choose, parse_bank


class OneDay:
    def following(self, running):
        return None

    def turns_to(self, day, now):
        return None


@pytest.fixture
def stage(open_stage):
    opened = open_stage()
    opened.turn("10:05")
    return opened


@pytest.fixture
def house(stage):
    clock = stage.clock
    return House(clock.steady, clock, lambda house: stage.running, OneDay(), lambda: None)


@pytest.fixture
def setting(stage, house):
    return Setting(house, stage.clock)


def minute(clock):
    hour, minute = clock.split(":")
    return int(hour) * 60 + int(minute)


def said(stage):
    return [
        (e.kind, f"{e.told:%H:%M}" if e.told else None)
        for e in stage.journal
        if isinstance(e, happened.Answered)
    ]


def coming(stage):
    return [f"{slot.starts:%H:%M}" for slot in stage.state.upcoming]


def outcomes(stage):
    return {f"{p.told:%H:%M}": p.outcome for p in stage.state.promises}


def test_it_speaks_back_what_it_understood_and_promises_nothing_by_it(stage, setting):
    before = coming(stage)
    setting.understood(minute("10:40"), Sets.NEXT, "dial")
    answered = stage.state.last_answer
    assert said(stage) == [(Kind.UNDERSTOOD, "10:40")]
    assert (answered.trigger, answered.spoken) == ("dial", "aloud")
    assert coming(stage) == before
    assert stage.state.promises == ()
    assert stage.state.asked == 0, "the keeper is no visitor"


def test_once_it_counts_it_is_agreed_upon_and_promised(stage, setting):
    setting.understood(minute("10:40"), Sets.NEXT)
    setting.counts(minute("10:40"), Sets.NEXT)
    assert said(stage) == [(Kind.UNDERSTOOD, "10:40"), (Kind.AGREED, "10:40")]
    assert coming(stage)[0] == "10:40"
    assert outcomes(stage) == {"10:40": Outcome.OPEN}
    stage.turn("10:41")
    assert outcomes(stage) == {"10:40": Outcome.KEPT}


def test_a_time_that_is_next_already_is_agreed_upon(stage, setting):
    setting.counts(minute("10:30"), Sets.NEXT)
    assert said(stage) == [(Kind.AGREED, "10:30")]


def test_an_apology_that_tells_the_new_time_is_not_followed_by_it_once_more(stage, setting):
    stage.running.asked("key")
    setting.counts(minute("10:40"), Sets.NEXT)
    assert said(stage) == [(Kind.NEXT, "10:30"), (Kind.CHANGED, "10:40")]
    assert outcomes(stage) == {"10:30": Outcome.CHANGED, "10:40": Outcome.OPEN}


def test_a_forbidden_time_is_refused_with_the_nearest_and_one_more_press_takes_it(stage, setting):
    before = coming(stage)
    setting.counts(minute("11:15"), Sets.NEXT)
    assert said(stage) == [(Kind.REFUSED, "11:05")]
    assert coming(stage) == before
    assert stage.state.promises == (), "an offer is no promise"
    assert setting.accept()
    assert said(stage)[1:] == [(Kind.AGREED, "11:05")]
    assert coming(stage)[0] == "11:05"
    assert not setting.accept(), "the next press asks again"


def test_after_two_minutes_a_press_is_a_press_again(stage, setting):
    setting.counts(minute("11:15"), Sets.NEXT)
    stage.turn("10:07:01")
    assert not setting.accept()


def test_where_nothing_is_allowed_it_names_no_time(stage, setting):
    stage.turn("12:58")
    setting.counts(minute("12:59"), Sets.NEXT)
    assert said(stage)[-1] == (Kind.REFUSED, None)
    assert not setting.accept()


def test_a_refusal_says_why_in_the_settings_own_words(stage, setting):
    heard = set()
    for _ in range(40):
        setting.counts(minute("11:15"), Sets.NEXT)
        heard.add(stage.state.last_answer.text)
    assert len(heard) == 40
    assert any("a talk next door" in text for text in heard)
    assert all("uiet is kept" in text for text in heard)


def test_what_was_not_caught_tells_no_time_and_changes_nothing(stage, setting, house):
    before = stage.state
    setting.not_caught("a pulse is missing")
    assert said(stage) == [(Kind.NOT_CAUGHT, None)]
    assert stage.state.upcoming == before.upcoming
    assert "a pulse is missing" in house.shown


def test_what_is_cancelled_is_forgotten_in_silence(stage, setting, house):
    setting.understood(minute("10:40"), Sets.NEXT)
    setting.cancelled(minute("10:40"), Sets.NEXT)
    assert said(stage) == [(Kind.UNDERSTOOD, "10:40")]
    assert coming(stage)[0] == "10:30"
    assert "10:40 is forgotten" in house.shown


@pytest.mark.parametrize(("now", "manner"), [("11:12", "silent"), ("12:15", "softly")])
def test_in_a_quiet_interval_it_is_as_loud_as_its_answers(open_stage, now, manner):
    stage = open_stage()
    stage.turn(now)
    house = House(
        stage.clock.steady, stage.clock, lambda house: stage.running, OneDay(), lambda: None
    )
    setting = Setting(house, stage.clock)
    setting.understood(minute("12:40"), Sets.NEXT)
    setting.counts(minute("12:40"), Sets.NEXT)
    answered = [e for e in stage.journal if isinstance(e, happened.Answered)][-2:]
    assert [e.kind for e in answered] == [Kind.UNDERSTOOD, Kind.AGREED]
    assert {e.spoken for e in answered} == {manner}


def test_while_it_is_held_a_time_is_set_but_not_promised(stage, setting):
    stage.running.tell(["hold"])
    setting.counts(minute("10:40"), Sets.NEXT)
    assert coming(stage)[0] == "10:40"
    assert said(stage) == [(Kind.LATE, None)]
    assert stage.state.promises == ()


def test_without_the_time_it_says_so(stage, setting):
    stage.running.trusts(Doubted("the clock stood still", stage.clock.now()))
    setting.counts(minute("10:40"), Sets.NEXT)
    assert said(stage) == [(Kind.CLOCK_UNSET, None)]


# The clock


def test_the_clock_is_set_by_the_same_conversation(stage, setting):
    setting.understood(minute("10:07"), Sets.CLOCK)
    setting.counts(minute("10:07"), Sets.CLOCK)
    assert said(stage) == [(Kind.UNDERSTOOD, "10:07"), (Kind.CLOCK_SET, "10:07")]
    assert f"{stage.clock.now():%H:%M}" == "10:07"
    assert stage.state.promises == (), "what a clock shows is no performance"


def test_a_clock_that_would_cost_performances_is_asked_about_and_accepted(stage, setting):
    setting.counts(minute("11:20"), Sets.CLOCK)
    assert said(stage) == [(Kind.SURE, "11:20")]
    assert f"{stage.clock.now():%H:%M}" == "10:05"
    assert setting.accept()
    assert said(stage)[-1] == (Kind.CLOCK_SET, "11:20")
    assert f"{stage.clock.now():%H:%M}" == "11:20"
    assert not setting.accept()


def test_it_counts_when_it_is_entered_once_more(stage, setting):
    for _ in range(2):
        setting.counts(minute("11:20"), Sets.CLOCK)
    assert [kind for kind, _ in said(stage)] == [Kind.SURE, Kind.CLOCK_SET]


def test_a_minute_later_it_is_asked_about_again(stage, setting):
    setting.counts(minute("11:20"), Sets.CLOCK)
    stage.clock.turn_to(stage.clock.now() + timedelta(seconds=61))
    assert not setting.accept()
    setting.counts(minute("11:20"), Sets.CLOCK)
    assert [kind for kind, _ in said(stage)] == [Kind.SURE, Kind.SURE]


def test_after_the_day_nothing_is_said(stage, setting):
    stage.running.end()
    setting.understood(minute("10:40"), Sets.NEXT)
    setting.counts(minute("10:40"), Sets.NEXT)
    setting.not_caught()
    assert not setting.accept()


# The words


def test_every_rule_of_the_demo_day_has_its_words(saturday_plan):
    day = saturday_plan.day
    assert {budget.rule for budget in day.budgets} <= set(BARS)
    assert set(BARS.values()) == set(Bar) - {Bar.OTHER}


@pytest.mark.parametrize("language", list(LANGUAGES))
@pytest.mark.parametrize("bar", sorted(set(Bar) - {Bar.OTHER}))
def test_every_bar_has_words_of_its_own_in_every_language(stage, language, bar):
    path = shipped(f"phrasebanks/{language}.yaml")
    bank = parse_bank(path.read_text(encoding="utf-8"), path.name)
    luck, board = random.Random(5), stage.day.signboard
    for at in (stage.at("10:40"), None):
        barred, plain = (
            {
                choose(bank, Situation(Kind.REFUSED, stage.at("10:05"), board, at=at, bars=bars),
                       [], luck).text
                for _ in range(25)
            }
            for bars in (frozenset({bar}), frozenset())
        )  # fmt: skip
        assert len(barred) > 10
        assert not barred & plain
