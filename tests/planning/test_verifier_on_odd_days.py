"""Days that close after midnight and days on which the clocks change."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from showtime.fair import Day, Performance, Piece, QuietInterval, Signboard, Span, budgets
from showtime.fair.wishes import Fixed, Wishes
from showtime.planning.verifier import broken

MINUTE = timedelta(minutes=1)
HOUR = timedelta(hours=1)
PIECE = Piece("Frost Bells", 10 * MINUTE)


def night(
    zone: str,
    opens: datetime,
    closes: datetime,
    *caps: budgets.Budget,
    quiet: tuple[QuietInterval, ...] = (),
    fixed: tuple[Fixed, ...] = (),
) -> Day:
    """A day between two wall-clock times of `zone`."""
    place = ZoneInfo(zone)
    return Day(
        signboard=Signboard("Osierholt", "The Tin Orchard", "Barnaby Rook", ("en",), place),
        date=opens.date(),
        hours=Span(opens.replace(tzinfo=place), closes.replace(tzinfo=place)),
        pieces=(PIECE,),
        quiet=quiet,
        gap=6 * MINUTE,
        budgets=caps,
        wishes=Wishes(start_on=15 * MINUTE, fixed=fixed),
    )


def then(day: Day, clock: str, fold: int = 0) -> Performance:
    moment = datetime.fromisoformat(clock).replace(tzinfo=day.signboard.timezone, fold=fold)
    return Performance(moment, PIECE)


SPRING = night("Europe/London", datetime(2027, 3, 27, 22), datetime(2027, 3, 28, 4))
AUTUMN = night("Europe/London", datetime(2027, 10, 30, 22), datetime(2027, 10, 31, 4))


def test_a_day_that_closes_after_midnight_has_its_last_performance_after_midnight() -> None:
    day = night("Europe/London", datetime(2027, 2, 13, 18), datetime(2027, 2, 14, 1))
    assert broken(day, [then(day, "2027-02-13T23:45"), then(day, "2027-02-14T00:45")]) == ()
    (late,) = broken(day, [then(day, "2027-02-14T01:00")])
    assert late.rule == "closes"
    (early,) = broken(day, [then(day, "2027-02-13T00:45")])
    assert early.rule == "opens"


def test_a_window_reaches_across_midnight() -> None:
    def judged(width: timedelta) -> list[str]:
        cap = budgets.Performances(2, width)
        day = night("Europe/London", datetime(2027, 2, 13, 18), datetime(2027, 2, 14, 1), cap)
        clocks = ("2027-02-13T23:15", "2027-02-13T23:45", "2027-02-14T00:15")
        return [each.why for each in broken(day, [then(day, clock) for clock in clocks])]

    assert judged(HOUR) == []
    (many,) = judged(HOUR + MINUTE)
    assert many.startswith("3 performances between 23:15 and 00:16")


def test_the_hour_that_is_skipped_in_spring_is_no_gap() -> None:
    # 00:45 GMT and 02:00 BST are a quarter of an hour apart.
    close = [then(SPRING, "2027-03-28T00:45"), then(SPRING, "2027-03-28T02:00")]
    (near,) = broken(SPRING, close)
    assert near.why.startswith("Frost Bells at 02:00 starts 5 min after Frost Bells at 00:45 ends")
    assert broken(SPRING, [close[0], then(SPRING, "2027-03-28T02:15")]) == ()


def test_the_hour_that_comes_twice_in_autumn_is_two_hours() -> None:
    first = then(AUTUMN, "2027-10-31T01:30", fold=0)
    second = then(AUTUMN, "2027-10-31T01:30", fold=1)
    assert second.starts - first.starts == HOUR
    assert broken(AUTUMN, [first, second]) == ()


def test_a_time_that_comes_twice_is_told_with_its_zone() -> None:
    first = then(AUTUMN, "2027-10-31T01:30", fold=0)
    again = Performance(first.starts + 15 * MINUTE, PIECE)
    (near,) = broken(AUTUMN, [first, again])
    assert near.why.startswith(
        "Frost Bells at 01:45 BST starts 5 min after Frost Bells at 01:30 BST ends"
    )


def test_windows_measure_real_time_when_the_clocks_change() -> None:
    cap = budgets.Performances(1, HOUR)
    spring = night("Europe/London", datetime(2027, 3, 27, 22), datetime(2027, 3, 28, 4), cap)
    autumn = night("Europe/London", datetime(2027, 10, 30, 22), datetime(2027, 10, 31, 4), cap)
    over_spring = [then(spring, "2027-03-28T00:30"), then(spring, "2027-03-28T02:15")]
    assert [each.rule for each in broken(spring, over_spring)] == ["performances"]
    both = [then(autumn, "2027-10-31T01:30"), then(autumn, "2027-10-31T01:30", fold=1)]
    assert broken(autumn, both) == ()


def test_idle_hours_are_real_hours_when_the_clocks_change() -> None:
    def judged(opens: datetime, closes: datetime) -> list[str]:
        day = night("Europe/London", opens, closes, budgets.Battery(6, 0, 1))
        return [each.rule for each in broken(day, [])]

    assert judged(datetime(2027, 2, 13, 22), datetime(2027, 2, 14, 4)) == []
    assert judged(datetime(2027, 3, 27, 22), datetime(2027, 3, 28, 5)) == []
    assert judged(datetime(2027, 10, 30, 22), datetime(2027, 10, 31, 4)) == ["battery"]


def test_the_grid_counts_from_the_local_hour_where_zones_are_off_by_half_hours() -> None:
    # Kathmandu is 5 h 45 min ahead of UTC: its hour begins on UTC's quarter.
    opens, closes = datetime(2027, 2, 13, 10), datetime(2027, 2, 13, 17)
    kathmandu = night("Asia/Kathmandu", opens, closes)
    assert broken(kathmandu, [then(kathmandu, "2027-02-13T10:15")]) == ()
    off = broken(kathmandu, [then(kathmandu, "2027-02-13T10:20")])
    assert [each.rule for each in off] == ["grid"]


def test_lord_howe_shifts_by_half_an_hour() -> None:
    # On 4 April 2027 the clocks there go back from 02:00 to 01:30.
    day = night("Australia/Lord_Howe", datetime(2027, 4, 3, 22), datetime(2027, 4, 4, 4))
    twice = [then(day, "2027-04-04T01:45"), then(day, "2027-04-04T01:45", fold=1)]
    assert twice[1].starts - twice[0].starts == 30 * MINUTE
    assert broken(day, twice) == ()


def test_what_is_fixed_in_the_doubled_hour_is_found_there() -> None:
    place = ZoneInfo("Europe/London")
    second = datetime(2027, 10, 31, 1, 30, tzinfo=place, fold=1)
    opens, closes = datetime(2027, 10, 30, 22), datetime(2027, 10, 31, 4)
    day = night("Europe/London", opens, closes, fixed=(Fixed(second, "Frost Bells"),))
    assert broken(day, [then(day, "2027-10-31T01:30", fold=1)]) == ()
    (missing,) = broken(day, [then(day, "2027-10-31T01:30", fold=0)])
    assert missing.why == "Frost Bells is fixed for 01:30 GMT but not planned"


def test_a_quiet_interval_over_the_change_is_as_long_as_it_really_is() -> None:
    place = ZoneInfo("Europe/London")
    span = Span(
        datetime(2027, 10, 31, 0, 30, tzinfo=place),
        datetime(2027, 10, 31, 1, 30, tzinfo=place, fold=1),
    )
    quiet = (QuietInterval("the moth lecture", span),)
    opens, closes = datetime(2027, 10, 30, 22), datetime(2027, 10, 31, 4)
    day = night("Europe/London", opens, closes, quiet=quiet)
    assert span.length == 2 * HOUR
    inside = then(day, "2027-10-31T01:15", fold=1)
    assert [each.rule for each in broken(day, [inside])] == ["quiet"]
    assert broken(day, [then(day, "2027-10-31T01:30", fold=1)]) == ()


def test_the_date_is_told_of_a_day_that_is_not_this_one() -> None:
    day = night("Europe/London", datetime(2027, 2, 13, 10), datetime(2027, 2, 13, 17))
    assert day.date == date(2027, 2, 13)
    (late,) = broken(day, [then(day, "2027-02-14T10:00")])
    assert late.why == (
        "Frost Bells at 2027-02-14 10:00 ends at 2027-02-14 10:10, after closing at 17:00"
    )
