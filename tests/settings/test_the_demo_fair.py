"""The hall at Osierholt, as it is shipped."""

from __future__ import annotations

from datetime import date

import pytest

from showtime.fair.hall import Fair, Together
from showtime.settings import load_fair, load_stall, shipped

SATURDAY = date(2027, 2, 13)


@pytest.fixture(scope="module")
def osierholt() -> Fair:
    return load_fair(shipped("config/osierholt-fair.yaml"))


def test_it_is_a_small_hall(osierholt: Fair) -> None:
    assert [stand.name for stand in osierholt.stands] == [
        "The Tin Orchard", "The Lantern Cart", "The Paper Menagerie", "The Kettle Choir",
        "The Weather Cabinet", "The Marble Aviary", "The Button Ballroom",
        "The Mossgate Players",
    ]  # fmt: skip
    saturday = osierholt.hall(SATURDAY)
    assert saturday is not None and len(saturday.days) == 8
    assert osierholt.together == (Together(1, 4.0), Together(4))
    assert len(osierholt.noise) == 1


def test_the_lantern_cart_is_three_metres_from_the_tin_orchard(osierholt: Fair) -> None:
    orchard, cart = osierholt.stands[:2]
    by_its_file = {one.name: one.distance_m for one in orchard.stall.neighbours}
    assert orchard.place.distance_m(cart.place) == by_its_file["The Lantern Cart"] == 3


def test_every_figure_is_somebody_else(osierholt: Fair) -> None:
    assert len({stand.stall.signboard.figure for stand in osierholt.stands}) == 8


def test_beside_its_noise_the_tin_orchard_is_what_it_is_alone(osierholt: Fair) -> None:
    alone = load_stall(shipped("config/tin-orchard.yaml"))
    in_the_hall = osierholt.stands[0].stall
    assert in_the_hall.signboard == alone.signboard
    for here, there in zip(in_the_hall.days, alone.days, strict=True):
        assert here.quiet == there.quiet
        assert here.budgets[: len(there.budgets)] == there.budgets
        assert [one.rule for one in here.budgets[len(there.budgets) :]] == ["level"]


def test_what_is_wound_up_by_hand_is_written_once(osierholt: Fair) -> None:
    having = [
        stand.name
        for stand in osierholt.stands
        if any("the spring needs winding" in one.why for one in stand.stall.days[0].budgets)
    ]
    assert having == ["The Paper Menagerie", "The Marble Aviary", "The Button Ballroom"]
