"""How levels run over the day, also for kinds of budget that no stall has asked for yet."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import exp, inf, isclose
from typing import ClassVar
from zoneinfo import ZoneInfo

from showtime.fair import Day, Performance, Piece, Signboard, Span, Where
from showtime.fair.budgets import Budget, Drain, Heat, Leak, Never, Spend, Window
from showtime.fair.wishes import Wishes
from showtime.planning.headroom import headroom
from showtime.planning.verifier import broken

LONDON = ZoneInfo("Europe/London")
MINUTE = timedelta(minutes=1)
HOUR = timedelta(hours=1)
BELLS = Piece("Frost Bells", 10 * MINUTE, heat_k=40)
HUM = Piece("Moth Waltz", 10 * MINUTE)


@dataclass(frozen=True)
class Attention:
    """An invented budget: crowds tire at each start and while it plays, and rest between."""

    drain: Drain
    limit: float = 100.0
    initial: float = 0.0
    resting: float = 0.0
    at_start: float = 0.0
    per_second: float = 0.0
    where: Where | None = None
    why: str = "crowds tire"
    rule: ClassVar[str] = "attention"

    def spend(self, piece: Piece) -> Spend:
        return Spend(self.at_start, self.per_second)

    def shown(self, level: float) -> str:
        return f"{level:g} yawns"


def at(clock: str) -> datetime:
    return datetime.fromisoformat(f"2027-02-13T{clock}").replace(tzinfo=LONDON)


def day(*budgets: Budget) -> Day:
    return Day(
        signboard=Signboard("Osierholt", "The Tin Orchard", "Barnaby Rook", ("en",), LONDON),
        date=date(2027, 2, 13),
        hours=Span(at("10:00"), at("14:00")),
        pieces=(BELLS, HUM),
        budgets=budgets,
        wishes=Wishes(start_on=MINUTE),
    )


def course(budget: Budget, *clocks: str, piece: Piece = BELLS) -> list[tuple[str, float]]:
    """The points as a person would note them down."""
    (room,) = headroom(day(budget), [Performance(at(clock), piece) for clock in clocks])
    return [
        (f"{point.at.astimezone(LONDON):%H:%M}", round(point.level, 9)) for point in room.points
    ]


def test_a_start_is_a_jump_and_so_is_its_leaving_the_window() -> None:
    assert course(Attention(Window(HOUR), at_start=1), "11:00") == [
        ("10:00", 0),
        ("11:00", 0),
        ("11:00", 1),
        ("11:10", 1),
        ("12:00", 1),
        ("12:00", 0),
        ("12:10", 0),
        ("14:00", 0),
    ]


def test_what_sounds_slides_through_the_window() -> None:
    points = course(Attention(Window(HOUR), per_second=1), "11:00", "12:05")
    assert ("11:10", 600) in points
    assert ("12:05", 300) in points
    assert ("12:10", 300) in points
    assert ("12:15", 600) in points
    assert points[-1] == ("14:00", 0)


def test_what_a_window_holds_at_opening_leaves_it_again() -> None:
    points = course(Attention(Window(HOUR), initial=5))
    assert points == [("10:00", 5), ("11:00", 5), ("11:00", 0), ("14:00", 0)]


def test_rest_is_spent_in_the_open_hours_where_nothing_sounds() -> None:
    points = course(Attention(Window(HOUR), resting=1, per_second=3), "12:00")
    assert ("11:00", 3600) in points
    assert ("12:10", 3000 + 1800) in points
    assert points[-1] == ("14:00", 3600)


def test_a_window_full_of_rest_is_told_as_the_one_that_ends_at_the_worst_moment() -> None:
    budget = Attention(Window(HOUR), limit=4000, resting=1, per_second=3)
    (tired,) = broken(day(budget), [Performance(at("12:00"), BELLS)])
    assert tired.at == at("12:00")
    assert tired.why == "4800 yawns between 11:10 and 12:10; crowds tire"


def test_what_never_drains_adds_up_from_what_it_was() -> None:
    points = course(Attention(Never(), initial=7, at_start=2, resting=1), "12:00")
    assert points == [
        ("10:00", 7),
        ("12:00", 7 + 7200),
        ("12:00", 9 + 7200),
        ("12:10", 9 + 7200),
        ("14:00", 9 + 13800),
    ]


def test_a_leak_takes_starts_at_once_and_loses_them_slowly() -> None:
    points = course(Attention(Leak(HOUR), at_start=2), "11:00", "12:00")
    assert ("11:00", 2) in points
    assert ("12:00", round(2 * exp(-1), 9)) in points
    assert ("12:00", round(2 * exp(-1) + 2, 9)) in points
    assert points[-1] == ("14:00", round(2 * exp(-3) + 2 * exp(-2), 9))


def test_a_piece_that_does_not_heat_lets_the_motors_cool_below_holding() -> None:
    heat = Heat(10 * MINUTE, ambient_c=20, hold_k=8, limit_c=60)
    points = dict(course(heat, "11:00", piece=HUM))
    assert isclose(points["11:10"], 8 * exp(-1), abs_tol=1e-8)
    assert isclose(points["14:00"], 8, abs_tol=1e-5)


def test_two_at_once_spend_twice_and_the_later_is_to_blame() -> None:
    budget = Attention(Window(HOUR), limit=650, per_second=1)
    both = [Performance(at("11:00"), BELLS), Performance(at("11:05"), HUM)]
    found = [each for each in broken(day(budget), both) if each.rule == "attention"]
    assert [(each.at, each.why) for each in found] == [
        (at("11:05"), "1200 yawns between 11:00 and 12:00; crowds tire")
    ]


def test_the_worst_moment_is_the_first_of_equals() -> None:
    (room,) = headroom(
        day(Attention(Window(HOUR), limit=4, at_start=1)),
        [Performance(at(clock), BELLS) for clock in ("10:30", "12:30")],
    )
    assert (room.worst, room.at, room.used) == (1, at("10:30"), 0.25)


def test_a_limit_of_nothing_is_kept_by_nothing_alone() -> None:
    def used(*clocks: str) -> float:
        budget = Attention(Window(HOUR), limit=0, at_start=1)
        (room,) = headroom(day(budget), [Performance(at(clock), BELLS) for clock in clocks])
        return room.used

    assert used() == 0
    assert used("11:00") == inf


def test_the_highest_level_within_a_span_sees_edges_and_jumps() -> None:
    (room,) = headroom(
        day(Attention(Window(HOUR), at_start=100, per_second=1)),
        [Performance(at("11:00"), BELLS)],
    )
    assert room.highest_in(Span(at("10:00"), at("11:00"))) == 0
    assert room.highest_in(Span(at("11:00"), at("11:05"))) == 400
    assert room.highest_in(Span(at("12:00"), at("12:05"))) == 600
    assert room.highest_in(Span(at("11:02"), at("11:30"))) == 700
    assert room.highest_in(Span(at("12:05"), at("12:20"))) == 300
    assert room.highest_in(Span(at("13:00"), at("16:00"))) == 0
