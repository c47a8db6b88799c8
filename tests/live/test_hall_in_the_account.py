"""After the day its account tells what the hall had to do with it."""

from __future__ import annotations

from datetime import timedelta

from showtime.fair import Performance, Span, Stall, budgets
from showtime.fair.hall import Handout
from showtime.live.account import Read, account_of


def test_what_the_hall_wanted_and_who_gave_way_is_told(open_stage, short_day):
    stage = open_stage("10:05")
    given = tuple(
        Performance(stage.at(start), short_day.piece("Bells")) for start in ("10:30", "11:40")
    )
    stage.hall.hand_plan(Handout("Stall", short_day.date, given))
    stage.hall.set_caps(budgets.Performances(2, timedelta(hours=1)))
    stage.hall.call_quiet("1", Span(stage.at("11:00"), stage.at("11:10")), "the mayor speaks")
    stage.hall.refuse()
    stage.turn("10:32")
    stall = Stall(short_day.signboard, (short_day,))
    account = account_of(stall, Read(tuple(stage.journal)), stage.at("13:10"))
    told = [(f"{each.at:%H:%M}", each.kind, each.why) for each in account.happenings]
    assert told == [
        ("10:05", "hall plan", ""),
        ("10:05", "hall limits", ""),
        ("10:30", "gave way", "somebody else plays just then"),
        ("11:00", "hall quiet", "the mayor speaks"),
    ]
    assert account.state == stage.state
