"""Noise at a neighbour, against acoustics' own rules and tables of permitted exposure.

Sources: ISO 9613-2:1996, 7.1, geometrical divergence; ISO 1996-1 and ISO 9612, energy means (from
memory); NIOSH publication 98-126 (1998), table 1-1; OSHA 29 CFR 1910.95, table G-16. Each is named
again beside its check.
"""

from datetime import UTC, date, datetime, timedelta
from math import log10
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Day, Performance, Piece, Signboard, Span
from showtime.fair.budgets import Neighbour, Noise
from showtime.fair.wishes import Wishes
from showtime.planning.headroom import headroom
from showtime.planning.verifier import broken

HOUR = timedelta(hours=1)
OPENS = datetime(2027, 2, 13, 0, tzinfo=UTC)
NEXT_TO_IT = Neighbour("The Lantern Cart", distance_m=1)


def heard(piece: Piece, noise: Noise, *hours_in: float) -> tuple[float, bool]:
    """The worst level in dBA, and whether the cap is kept, of `piece` at these hours of a day."""
    day = Day(
        signboard=Signboard(
            "Osierholt", "The Tin Orchard", "Barnaby Rook", ("en",), ZoneInfo("UTC")
        ),
        date=date(2027, 2, 13),
        hours=Span(OPENS, OPENS + 24 * HOUR),
        pieces=(piece,),
        budgets=(noise,),
        wishes=Wishes(start_on=timedelta(microseconds=1)),
    )
    performances = [Performance(OPENS + hour * HOUR, piece) for hour in hours_in]
    (room,) = headroom(day, performances)
    kept = "level" not in {each.rule for each in broken(day, performances)}
    return 10 * log10(room.worst / noise.over.total_seconds()), kept


def tone(level_dba: float, lasts: timedelta) -> Piece:
    return Piece("One long note", lasts, level_dba=level_dba)


# ISO 9613-2:1996, 7.1: A_div = 20 lg(d / d0) + 11 dB, so 20 lg 2 = 6.02 dB a doubling.
@pytest.mark.parametrize("distance_m", [1, 2, 3, 12.5])
def test_a_doubled_distance_takes_six_decibels(distance_m: float) -> None:
    near = Neighbour("near", distance_m).level_dba(78)
    far = Neighbour("far", 2 * distance_m).level_dba(78)
    assert near - far == pytest.approx(6.02, abs=0.005)


def test_ten_times_the_distance_takes_twenty_decibels() -> None:
    assert Neighbour("far", 10).level_dba(78) == pytest.approx(58)


# Energies add, 10 lg 2 = 3.01 dB: ISO 1996-1 defines levels by mean squared pressure (memory).
def test_two_equal_sources_together_are_three_decibels_louder() -> None:
    cap = Noise(85, NEXT_TO_IT, HOUR)
    one, _ = heard(tone(70, HOUR), cap, 12)
    two, _ = heard(tone(70, HOUR), cap, 12, 12)
    assert one == pytest.approx(70)
    assert two - one == pytest.approx(3.01, abs=0.005)


def test_a_source_that_sounds_twice_as_long_is_three_decibels_louder_on_the_mean() -> None:
    cap = Noise(85, NEXT_TO_IT, 8 * HOUR)
    once, _ = heard(tone(70, HOUR), cap, 10)
    twice, _ = heard(tone(70, HOUR), cap, 10, 13)
    assert twice - once == pytest.approx(3.01, abs=0.005)


# L_EX,8h = L_Aeq,Te + 10 lg(Te / 8 h): ISO 9612 (from memory); 85 - 9.03 = 75.97.
def test_85_dba_for_one_hour_of_eight_is_76_dba() -> None:
    level, _ = heard(tone(85, HOUR), Noise(85, NEXT_TO_IT, 8 * HOUR), 9)
    assert level == pytest.approx(76.0, abs=0.05)


# NIOSH publication 98-126 (1998), table 1-1: recommended limit 85 dBA over 8 h, exchange rate
# 3 dB. The table rounds 3.01 dB to 3, hence what is left of a twentieth of a decibel.
NIOSH_TABLE = [(85, 480), (88, 240), (91, 120), (94, 60), (97, 30), (100, 15)]


@pytest.mark.parametrize(("level_dba", "minutes"), NIOSH_TABLE)
def test_what_niosh_allows_just_fits(level_dba: float, minutes: float) -> None:
    cap = Noise(85, NEXT_TO_IT, 8 * HOUR)
    lasts = timedelta(minutes=minutes)
    level, kept = heard(tone(level_dba, lasts), cap, 8)
    assert kept
    assert level == pytest.approx(85, abs=0.06)


@pytest.mark.parametrize(("level_dba", "minutes"), NIOSH_TABLE[1:])
def test_a_fiftieth_more_than_niosh_allows_does_not_fit(level_dba: float, minutes: float) -> None:
    cap = Noise(85, NEXT_TO_IT, 8 * HOUR)
    _, kept = heard(tone(level_dba, 1.02 * timedelta(minutes=minutes)), cap, 8)
    assert not kept


def test_niosh_s_day_of_several_exposures_is_the_sum_of_their_doses() -> None:
    # Half of the dose of 85 dBA (4 of 8 h) and half of that of 91 dBA (1 of 2 h): one whole dose.
    long, loud = tone(85, 4 * HOUR), Piece("One loud note", HOUR, level_dba=91)
    day = Day(
        signboard=Signboard(
            "Osierholt", "The Tin Orchard", "Barnaby Rook", ("en",), ZoneInfo("UTC")
        ),
        date=date(2027, 2, 13),
        hours=Span(OPENS, OPENS + 24 * HOUR),
        pieces=(long, loud),
        budgets=(Noise(85, NEXT_TO_IT, 8 * HOUR),),
    )
    plan = [Performance(OPENS + 8 * HOUR, long), Performance(OPENS + 13 * HOUR, loud)]
    (room,) = headroom(day, plan)
    assert room.used == pytest.approx(1, abs=0.01)
    assert broken(day, plan) == ()


# OSHA 29 CFR 1910.95, table G-16: 90 dBA 8 h, 95 dBA 4 h, 100 dBA 2 h, a 5 dB exchange rate.
# No energy mean can reproduce it: halving the time takes 3.01 dB of energy, not 5. The product
# keeps the energy mean of the ISO standards, which is the stricter of the two above the limit.
@pytest.mark.parametrize(
    ("level_dba", "hours", "energy_mean"), [(90, 8, 90.0), (95, 4, 92.0), (100, 2, 94.0)]
)
def test_osha_s_table_allows_more_energy_the_louder_it_is(
    level_dba: float, hours: float, energy_mean: float
) -> None:
    assert hours == 8 / 2 ** ((level_dba - 90) / 5)
    level, kept = heard(tone(level_dba, hours * HOUR), Noise(90, NEXT_TO_IT, 8 * HOUR), 8)
    assert level == pytest.approx(energy_mean, abs=0.05)
    assert kept == (level_dba == 90)
