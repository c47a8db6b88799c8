"""Days to plan: the demo stall's, and random ones."""

from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Day, Piece, QuietInterval, Signboard, Span, budgets, wishes

LONDON = ZoneInfo("Europe/London")
SIGNBOARD = Signboard("Osierholt Curiosity Fair", "The Tin Orchard", "Barnaby Rook", ("en",), LONDON)


def minutes(count: float) -> timedelta:
    return timedelta(minutes=count)


def demo(start_on: float = 5, closes: int = 17) -> Day:
    """The demo stall's first day, put together by hand; it may close later, to be larger."""

    def at(hour: int, minute: int = 0) -> datetime:
        return datetime(2027, 2, 13, hour, minute, tzinfo=LONDON)

    cart = budgets.Neighbour("The Lantern Cart", 3)
    rule = "fair rule"
    quiet = [
        QuietInterval("opening speech", Span(at(10), at(10, 10))),
        QuietInterval("story circle", Span(at(11, 30), at(12, 15)), minutes(2)),
        QuietInterval("the keeper's lunch", Span(at(13), at(13, 30))),
        QuietInterval("organ recital", Span(at(14, 35), at(14, 50)), minutes(5)),
    ]
    for hour in range(10, closes):
        quiet.append(QuietInterval("bandstand", Span(at(hour, 55), at(hour + 1, 5))))
    hours = Span(at(10), at(closes))
    return Day(
        SIGNBOARD,
        date(2027, 2, 13),
        hours,
        (
            Piece("Frost Bells", minutes(4.5), minutes(2), 74, 40, 2.4),
            Piece("The Pear Dance", minutes(7), minutes(3), 78, 55, 3.1),
        ),
        tuple(quiet),
        minutes(6),
        (
            budgets.Performances(4, minutes(60), because=rule),
            budgets.Performances(3, minutes(60), because=rule),
            budgets.Sounding(minutes(15), minutes(60), because=rule),
            budgets.Noise(60, cart, minutes(60), because="agreed with the neighbour"),
            budgets.Performances(20),
            budgets.AtMost("The Pear Dance", 6),
            budgets.Heat(minutes(25), 21, 8, 45),
            budgets.Battery(10, 0.2, 0.4),
        ),
        wishes.Wishes(
            most=18,
            start_on=minutes(start_on),
            prefer_minutes=(0, 30, 15, 45),
            busy=(wishes.Busy(Span(at(11), at(13)), 2),),
            fixed=(wishes.Fixed(at(15, 30), "The Pear Dance", "the judges come by"),),
        ),
    )


@pytest.fixture
def demo_day() -> Day:
    return demo()
