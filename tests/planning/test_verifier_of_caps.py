"""Each kind of cap, on both sides of its edge."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from showtime.fair import Day, Performance, Piece, Signboard, Span, Where
from showtime.fair.budgets import AtMost, Battery, Heat, Neighbour, Noise, Performances, Sounding
from showtime.fair.wishes import Wishes
from showtime.planning.verifier import broken

LONDON = ZoneInfo("Europe/London")
SECOND = timedelta(seconds=1)
MINUTE = timedelta(minutes=1)
HOUR = timedelta(hours=1)
BELLS = Piece("Frost Bells", 5 * MINUTE, reset=2 * MINUTE, level_dba=70, heat_k=40, current_a=3)
DANCE = Piece("The Pear Dance", 10 * MINUTE, reset=8 * MINUTE, level_dba=70, heat_k=40)
FILE = Where("stall.yaml", 7, 3)


def at(clock: str) -> datetime:
    return datetime.fromisoformat(f"2027-02-13T{clock}").replace(tzinfo=LONDON)


def bells(*clocks: str) -> list[Performance]:
    return [Performance(at(clock), BELLS) for clock in clocks]


def dances(*clocks: str) -> list[Performance]:
    return [Performance(at(clock), DANCE) for clock in clocks]


DAY = Day(
    signboard=Signboard("Osierholt", "The Tin Orchard", "Barnaby Rook", ("en",), LONDON),
    date=date(2027, 2, 13),
    hours=Span(at("10:00"), at("17:00")),
    pieces=(BELLS, DANCE),
    gap=6 * MINUTE,
    wishes=Wishes(start_on=SECOND),
)


def rules(day: Day, performances: list[Performance]) -> list[str]:
    return [each.rule for each in broken(day, performances)]


def test_three_starts_in_an_hour_are_three_and_the_fourth_is_one_too_many() -> None:
    day = replace(DAY, budgets=(Performances(3, HOUR, because="fair rule", where=FILE),))
    assert broken(day, bells("10:00", "10:20", "10:40", "11:00", "11:20")) == ()
    (many,) = broken(day, bells("10:00", "10:20", "10:40", "10:59:59"))
    assert (many.rule, many.at, many.where) == ("performances", at("10:59:59"), FILE)
    assert many.why == (
        "4 performances between 10:00 and 11:00; fair rule: at most 3 performances in any 60 min"
    )


def test_a_cap_that_stays_exceeded_is_broken_once_and_again_after_it_was_kept() -> None:
    day = replace(DAY, budgets=(Performances(1, HOUR),))
    clocks = ("10:00", "10:30", "10:50", "12:30", "12:50")
    assert [each.at for each in broken(day, bells(*clocks))] == [at("10:30"), at("12:50")]


def test_the_worst_of_a_stretch_is_told() -> None:
    day = replace(DAY, budgets=(Performances(1, HOUR),))
    (many,) = broken(day, bells("10:00", "10:40", "10:52", "11:20", "11:35"))
    assert many.at == at("10:40")
    assert many.why.startswith("4 performances between 10:40 and 11:40")


def test_performances_in_a_day_count_over_all_of_it() -> None:
    day = replace(DAY, budgets=(Performances(2),))
    assert broken(day, bells("10:00", "16:00")) == ()
    (many,) = broken(day, bells("10:00", "16:00", "13:00"))
    assert many.at == at("16:00")
    assert many.why == "3 performances over the day; at most 2 performances in a day"


def test_sounding_minutes_count_where_the_window_cuts_a_performance() -> None:
    day = replace(DAY, budgets=(Sounding(12 * MINUTE, HOUR),))
    assert broken(day, [*dances("10:00"), *bells("11:03")]) == ()
    (loud,) = broken(day, [*dances("10:00"), *bells("10:56:59")])
    assert (loud.rule, loud.at) == ("sounding", at("10:56:59"))
    assert "between 10:00 and 11:00" in loud.why


def test_a_microsecond_too_much_sound_is_too_much() -> None:
    finest = Wishes(start_on=timedelta(microseconds=1))
    day = replace(DAY, budgets=(Sounding(10 * MINUTE, HOUR),), wishes=finest)
    assert broken(day, bells("10:00", "10:30", "11:00", "11:30")) == ()
    (loud,) = broken(day, bells("10:00", "10:30", "10:59:59.999999"))
    assert loud.at == at("10:59:59.999999")
    assert loud.why.startswith("just over 10.0 min of sound between")


def test_sounding_minutes_of_a_day_do_not_drain() -> None:
    day = replace(DAY, budgets=(Sounding(10 * MINUTE),))
    assert broken(day, bells("10:00", "16:00")) == ()
    assert rules(day, [*bells("10:00", "16:00"), *dances("13:00")]) == ["sounding"]


CART = Neighbour("The Lantern Cart", distance_m=1)


def test_noise_at_the_neighbour_is_an_energy_mean_over_its_window() -> None:
    # 70 dBA for 6 of 60 min is 60 dBA, exactly the limit.
    six = replace(BELLS, lasts=6 * MINUTE)
    day = replace(DAY, pieces=(six,), budgets=(Noise(60, CART, HOUR),))
    assert broken(day, [Performance(at("10:00"), six), Performance(at("11:00"), six)]) == ()
    twice = [Performance(at("10:00"), six), Performance(at("10:30"), six)]
    (loud,) = broken(day, twice)
    assert (loud.rule, loud.at) == ("level", at("10:30"))
    assert loud.why == (
        "63.0 dBA between 10:00 and 11:00; at most 60 dBA at The Lantern Cart over any 60 min"
    )


def test_a_little_too_much_noise_is_called_just_over() -> None:
    longer = replace(BELLS, lasts=6 * MINUTE + SECOND)
    day = replace(DAY, pieces=(longer,), budgets=(Noise(60, CART, HOUR),))
    (loud,) = broken(day, [Performance(at("10:00"), longer)])
    assert loud.why.startswith("just over 60.0 dBA between")


def test_loud_and_soft_pieces_do_not_blur_each_other() -> None:
    # A window in which only the soft piece sounds is judged by it alone, however loud another
    # hour was: a sum kept over the day and subtracted again would lose the soft one.
    roar = replace(DANCE, level_dba=160)
    whisper = replace(BELLS, level_dba=30)
    budgets = (Noise(29, CART, 5 * MINUTE), Noise(200, CART, HOUR))
    day = replace(DAY, pieces=(roar, whisper), budgets=budgets)
    found = broken(day, [Performance(at("11:00"), roar), Performance(at("13:00"), whisper)])
    assert [each.at for each in found] == [at("11:00"), at("13:00")]


def test_a_piece_that_tells_no_level_makes_no_noise() -> None:
    mute = replace(BELLS, level_dba=None)
    day = replace(DAY, pieces=(mute,), budgets=(Noise(-90, CART, HOUR),))
    assert broken(day, [Performance(at("10:00"), mute)]) == ()


def heated(limit_c: float, hold_k: float = 8) -> Day:
    return replace(DAY, budgets=(Heat(25 * MINUTE, ambient_c=21, hold_k=hold_k, limit_c=limit_c),))


def test_heat_may_reach_its_limit_and_not_pass_it() -> None:
    # 40 - (40 - 8) e^(-10/25) = 18.5498...: 10 min of The Pear Dance from rest
    assert broken(heated(21 + 18.549759), dances("10:00")) == ()
    (hot,) = broken(heated(21 + 18.549758), dances("10:00"))
    assert (hot.rule, hot.at) == ("heat", at("10:00"))
    assert hot.why.startswith("just over 39.5 °C at 10:10; the motors stay at or below 39.54")


def test_heat_that_stays_from_one_performance_counts_in_the_next() -> None:
    day = heated(21 + 20)
    assert broken(day, dances("10:00")) == ()
    (hot,) = broken(day, dances("10:00", "10:18"))
    assert hot.at == at("10:18")


def test_motors_that_are_too_warm_at_rest_are_so_from_opening_on() -> None:
    (hot,) = broken(heated(25), [])
    assert (hot.rule, hot.at) == ("heat", at("10:00"))


def test_the_battery_feeds_idle_hours_as_well_as_performances() -> None:
    # 7 h of 0.4 A, and 5 min of 3 A beside it: 3.05 Ah
    day = replace(DAY, budgets=(Battery(capacity_ah=3.05, keep=0, idle_a=0.4),))
    assert broken(day, bells("12:00")) == ()
    (flat,) = broken(day, bells("12:00", "13:00"))
    assert flat.rule == "battery"
    assert flat.why == "3.30 Ah over the day; the day's charge fits the 3.05 Ah battery"


def test_the_charge_that_is_kept_back_is_not_spent() -> None:
    day = replace(DAY, budgets=(Battery(capacity_ah=4, keep=0.5, idle_a=0.4),))
    (flat,) = broken(day, [])
    # 2 Ah last for five hours of idling
    assert flat.at == at("15:00")
    assert flat.why.startswith("2.80 Ah over the day")


def test_a_piece_may_be_played_at_most_so_often() -> None:
    day = replace(DAY, budgets=(AtMost("Frost Bells", 2),))
    assert broken(day, [*bells("10:00", "12:00"), *dances("14:00")]) == ()
    (often,) = broken(day, bells("10:00", "12:00", "14:00"))
    assert (often.rule, often.at) == ("at_most", at("14:00"))


def test_hundreds_of_performances_are_judged_and_not_refused() -> None:
    budgets = (
        Performances(3, HOUR),
        Sounding(15 * MINUTE, HOUR),
        Noise(60, CART, HOUR),
        Heat(25 * MINUTE, 21, 8, 45),
        Battery(10, 0.2, 0.4),
    )
    day = replace(DAY, budgets=budgets)
    crowd = [Performance(at("09:00") + number * MINUTE, BELLS) for number in range(600)]
    found = broken(day, crowd + crowd)
    # 600 of them start too soon after their doubles and 599 after their predecessors
    assert sum(each.rule == "gap" for each in found) == 1199
    assert {each.rule for each in found} >= {budget.rule for budget in budgets}
