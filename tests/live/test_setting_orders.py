"""`set 14:30`: the next performance moves there, or the nearest allowed time is offered."""

from __future__ import annotations

import pytest

from showtime.live import Outcome
from showtime.live import events as happened
from showtime.live.asked import QuestionError
from showtime.live.clock.trust import Doubted
from showtime.live.keeper.mend import breaks, performed


def coming(stage):
    return [f"{slot.starts:%H:%M} {slot.piece}" for slot in stage.state.upcoming]


def outcomes(stage):
    return {f"{p.told:%H:%M}": p.outcome for p in stage.state.promises}


def tell(stage, words):
    return stage.running.tell(words.split())


@pytest.fixture
def stage(open_stage):
    """The short day at five past ten: nothing was asked yet."""
    opened = open_stage()
    opened.turn("10:05")
    return opened


def test_the_next_performance_moves_to_the_time_that_is_set(stage):
    assert tell(stage, "set 10:40") == "Next at 10:40: 10:30 Bells becomes 10:40."
    assert coming(stage) == ["10:40 Bells", "11:00 Dance", "11:30 Bells", "12:00 Dance",
                             "12:30 Bells"]  # fmt: skip


def test_it_may_move_to_an_earlier_time(stage):
    assert tell(stage, "set 10:15") == "Next at 10:15: 10:30 Bells becomes 10:15."
    assert coming(stage)[:2] == ["10:15 Bells", "11:00 Dance"]


def test_what_was_to_come_before_the_set_time_does_not(stage):
    said = tell(stage, "set 11:40")
    assert "11:00 Dance" in said
    assert coming(stage)[0] == "11:40 Bells"


def test_no_better_plan_comes_before_the_set_time(open_stage):
    asked_for = []
    stage = open_stage(replanner=lambda state, now: asked_for.append(state))
    stage.turn("10:05")
    tell(stage, "set 11:40")
    assert f"{asked_for[-1].not_before:%H:%M}" == "11:40"


def test_what_cannot_stand_beside_it_gives_way(stage):
    tell(stage, "set 10:55")
    assert coming(stage)[:2] == ["10:55 Bells", "11:30 Bells"]


def test_another_piece_may_be_named(stage):
    tell(stage, "set 10:40 Dance")
    assert coming(stage)[0] == "10:40 Dance"
    tell(stage, "set 10:40 Bells")
    assert coming(stage)[0] == "10:40 Bells"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("set 10:30", "10:30 Bells is next already."),
        ("set 11:30", "11:30 Bells is planned already; 10:30 comes before it."),
    ],
)
def test_a_time_that_is_planned_already_changes_nothing(stage, words, said):
    before = stage.state
    assert tell(stage, words) == said
    assert stage.state is before


def test_a_promise_moves_with_it_and_the_figure_says_sorry(stage):
    stage.running.asked("key")
    would = stage.running.would(["set", "10:40"])
    assert would == (
        "Next at 10:40: 10:30 Bells becomes 10:40. 10:30 was promised; I say sorry for it."
    )
    assert tell(stage, "set 10:40") == would
    said = stage.state.last_answer
    assert (said.trigger, said.kind.value, f"{said.told:%H:%M}") == (
        "of itself",
        "changed",
        "10:40",
    )
    assert outcomes(stage) == {"10:30": Outcome.CHANGED, "10:40": Outcome.OPEN}
    stage.turn("10:41")
    assert outcomes(stage)["10:40"] is Outcome.KEPT


def test_a_promise_that_the_next_one_was_not_outranks_it(stage):
    """Eleven was promised too: the set time is judged beside it."""
    tell(stage, "set 11:00 Bells")
    stage.running.asked("key")
    tell(stage, "add 10:30")
    said = tell(stage, "set 10:55")
    assert said.startswith("Dance at 10:55 no: Bells at 11:00 starts while it sounds until 11:03.")
    assert coming(stage)[:2] == ["10:30 Dance", "11:00 Bells"]


@pytest.mark.parametrize(
    ("words", "rule", "why", "offer"),
    [
        ("set 11:15", "quiet", "a talk next door", "11:05 Bells"),
        ("set 10:37", "grid", "", "10:35 Bells"),
        ("set 10:04", "past", "", "10:10 Bells"),
        ("set 13:05", "closes", "", "12:55 Bells"),
        ("set 09:00", "past", "", "10:10 Bells"),
    ],
)
def test_a_rule_refuses_it_and_the_nearest_allowed_time_is_offered(stage, words, rule, why, offer):
    before = coming(stage)
    would = stage.running.would(words.split())
    assert stage.state.refused is None
    said = tell(stage, words)
    assert said == would
    refused = stage.state.refused
    assert rule in refused.rules
    assert refused.why == why
    assert f"{refused.offer.starts:%H:%M} {refused.offer.piece}" == offer
    assert said.endswith(f"accept takes {offer[:5]}.")
    assert coming(stage) == before
    tell(stage, "accept")
    assert coming(stage)[0] == offer


def test_the_nearest_before_and_after_are_both_told(stage):
    said = tell(stage, "set 11:15")
    assert said == (
        "Bells at 11:15 no: it would sound in a quiet interval: a talk next door, 11:10 to 11:25. "
        "Allowed: 11:05 or 11:25. accept takes 11:05."
    )


def test_an_offer_stands_for_two_minutes(stage):
    tell(stage, "set 11:15")
    stage.turn("10:07:01")
    assert tell(stage, "accept") == "Nothing is offered that could be accepted."
    assert coming(stage)[0] == "10:30 Bells"


def test_what_was_offered_is_accepted_once(stage):
    tell(stage, "set 11:15")
    tell(stage, "accept")
    assert tell(stage, "accept") == "Nothing is offered that could be accepted."


def test_where_nothing_is_allowed_it_says_so(open_stage):
    stage = open_stage()
    stage.turn("12:58")
    said = tell(stage, "set 12:59")
    assert said.endswith("No other time is allowed today.")
    assert stage.state.refused.offer is None
    assert tell(stage, "accept").startswith("Nothing is offered")


def test_it_adds_one_where_none_is_left(open_stage):
    stage = open_stage()
    stage.turn("12:40")
    assert stage.state.next is None
    assert tell(stage, "set 12:50").endswith("is new.")
    assert len(coming(stage)) == 1


def test_it_is_taken_back_within_a_minute_with_its_promise(stage):
    stage.running.asked("key")
    before = coming(stage)
    tell(stage, "set 10:45")
    stage.turn("10:05:40")
    assert tell(stage, "undo").startswith("set 10:45 is taken back.")
    assert coming(stage) == before
    assert outcomes(stage)["10:30"] is Outcome.OPEN


def test_an_accepted_offer_is_taken_back_as_what_it_set(stage):
    before = coming(stage)
    tell(stage, "set 11:15")
    tell(stage, "accept")
    assert tell(stage, "undo").startswith("set 11:05 is taken back.")
    assert coming(stage) == before


def test_while_it_plays_the_next_one_is_set(stage):
    stage.turn("10:31")
    assert stage.state.playing is not None
    assert "11:00 Dance becomes 11:45" in tell(stage, "set 11:45")
    stage.turn("10:36")
    assert not breaks(stage.day, performed(stage.state))


def test_a_figure_that_has_lost_the_time_sets_no_performance(stage):
    stage.running.trusts(Doubted("the battery clock stood still", stage.clock.now()))
    assert tell(stage, "set 10:40") == "The time is not known; set the clock first: clock 14:05"
    assert coming(stage)[0] == "10:30 Bells"


def test_the_journal_tells_the_setting_and_the_refusal(stage):
    tell(stage, "set 11:15")
    tell(stage, "accept")
    kinds = [type(e) for e in stage.journal]
    assert happened.TimeRefused in kinds
    assert happened.TimeSet in kinds
    assert kinds.index(happened.TimeRefused) < kinds.index(happened.TimeSet)


@pytest.mark.parametrize("words", ["set", "set soon", "set 25:00", "set 10:40 Waltz"])
def test_what_is_no_time_is_told_how_to_say_it(stage, words):
    with pytest.raises(QuestionError):
        tell(stage, words)
