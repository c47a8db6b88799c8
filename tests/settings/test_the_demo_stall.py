"""The demo at the Osierholt Curiosity Fair, with every key, as fair values."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from showtime.fair import Answers, Piece, Span, Stall, budgets, wishes
from showtime.fair.wishes import Wish
from showtime.settings import load_stall, shipped

SATURDAY, SUNDAY = date(2027, 2, 13), date(2027, 2, 14)
MINUTE = timedelta(minutes=1)


@pytest.fixture(scope="module")
def stall() -> Stall:
    return load_stall(shipped("config/tin-orchard.yaml"))


def clock(hour: int, minute: int = 0, day: int = 13) -> datetime:
    """London keeps UTC in February."""
    return datetime(2027, 2, day, hour, minute, tzinfo=UTC)


def test_the_names_over_the_stall(stall: Stall) -> None:
    board = stall.signboard
    assert (board.fair, board.stall, board.figure) == (
        "Osierholt Curiosity Fair",
        "The Tin Orchard",
        "Barnaby Rook",
    )
    assert board.languages == ("en",)
    assert board.timezone.key == "Europe/London"


def test_its_days(stall: Stall) -> None:
    assert [day.date for day in stall.days] == [SATURDAY, SUNDAY]
    assert [day.hours for day in stall.days] == [
        Span(clock(10), clock(17)),
        Span(clock(10, day=14), clock(16, day=14)),
    ]
    assert stall.day(date(2027, 2, 15)) is None


def test_its_pieces(stall: Stall) -> None:
    bells = Piece("Frost Bells", 4.5 * MINUTE, 2 * MINUTE, 74, 40, 2.4, Answers.SOFTLY)
    dance = Piece("The Pear Dance", 7 * MINUTE, 3 * MINUTE, 78, 55, 3.1, Answers.SOFTLY)
    assert all(day.pieces == (bells, dance) for day in stall.days)
    assert all(day.gap == 6 * MINUTE for day in stall.days)
    assert all(day.calls == (5 * MINUTE, MINUTE) for day in stall.days)


def quiet(stall: Stall, why: str, day: date) -> list[tuple[str, str]]:
    found = stall.day(day)
    assert found is not None
    return [
        (f"{one.span.start:%H:%M}", f"{one.span.end:%H:%M}")
        for one in found.quiet
        if one.why.startswith(why)
    ]


def test_its_quiet_intervals(stall: Stall) -> None:
    assert quiet(stall, "story circle", SATURDAY) == [("11:30", "12:15")]
    assert quiet(stall, "story circle", SUNDAY) == [("11:30", "12:15")]
    assert quiet(stall, "the keeper's lunch", SATURDAY) == [("13:00", "13:30")]
    assert quiet(stall, "the keeper's lunch", SUNDAY) == []


def test_the_bandstand_plays_every_hour_until_closing(stall: Stall) -> None:
    hourly = [(f"{hour}:55", f"{hour + 1}:05") for hour in range(10, 17)]
    assert quiet(stall, "bandstand", SATURDAY) == hourly
    assert quiet(stall, "bandstand", SUNDAY) == hourly[:-1]


def test_recitals_come_from_their_calendar(stall: Stall) -> None:
    assert quiet(stall, "organ recitals: Organ recital", SATURDAY) == [("14:35", "14:50")]
    assert quiet(stall, "organ recitals: Organ recital", SUNDAY) == [("14:35", "14:50")]
    saturday = stall.days[0]
    recital = next(one for one in saturday.quiet if "recital" in one.why)
    assert recital.forbidden == Span(clock(14, 30), clock(14, 55))
    assert recital.answers is Answers.SILENT


def test_the_organisers_speech_is_quiet_too(stall: Stall) -> None:
    assert quiet(stall, "opening speech", SATURDAY) == [("10:00", "10:10")]
    assert quiet(stall, "opening speech", SUNDAY) == []


def test_its_limits_are_budgets(stall: Stall) -> None:
    cart = budgets.Neighbour("The Lantern Cart", 3.0)
    hour = 60 * MINUTE
    expected = [
        budgets.Performances(3, hour, because="fair rule"),
        budgets.Sounding(15 * MINUTE, hour, because="fair rule"),
        budgets.Noise(60.0, cart, hour, because="agreed with the neighbour"),
        budgets.Performances(20, None),
        budgets.Performances(4, hour, because="fair rule"),
        budgets.AtMost("The Pear Dance", 6),
        budgets.Heat(25 * MINUTE, 21.0, 8.0, 45.0),
        budgets.Battery(10.0, 0.2, 0.4),
    ]
    for day in stall.days:
        assert list(day.budgets) == expected


def test_its_wishes(stall: Stall) -> None:
    hoped = stall.days[0].wishes
    assert hoped.order == tuple(Wish)
    assert (hoped.most, hoped.start_on, hoped.prefer_minutes) == (18, 5 * MINUTE, (0, 30, 15, 45))
    assert hoped.busy == (wishes.Busy(Span(clock(11), clock(13)), 2.0),)
    assert hoped.fixed == (wishes.Fixed(clock(15, 30), "The Pear Dance", "the judges come by"),)
    assert stall.days[1].wishes.fixed[0].at == clock(15, 30, day=14)


def test_how_it_speaks_and_keeps_its_word(stall: Stall) -> None:
    assert (stall.speaking.voice, stall.speaking.words_a_minute) == ("", 170)
    assert stall.keep_within == timedelta(seconds=60)


def test_every_rule_knows_the_line_it_stands_on(stall: Stall) -> None:
    demo = shipped("config/tin-orchard.yaml")

    def line(where: object) -> str:
        file, number, _ = str(where).rsplit(":", 2)
        assert Path(file).parent == demo.parent
        return Path(file).read_text(encoding="utf-8").split("\n")[int(number) - 1]

    day = stall.days[0]
    assert "opens: 10:00, closes: 17:00" in line(day.where)
    assert [line(piece.where).count(piece.name) for piece in day.pieces] == [1, 1]
    assert all(one.why.split(":")[0] in line(one.where) for one in day.quiet)
    for word, budget in zip(
        ("performances: 3", "sounding: 15", "level: 60", "performances: 20", "performances: 4",
         "at_most: 6", "heat:", "battery:"), day.budgets, strict=True,
    ):  # fmt: skip
        assert word in line(budget.where)
    assert "performances: 18" in line(day.wishes.most_where)
    assert "at: 15:30" in line(day.wishes.fixed[0].where)
