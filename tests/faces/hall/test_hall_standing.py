"""Who stands in a stall's way, and what the drawing of the hall shows of it."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from math import log10
from xml.etree import ElementTree

import pytest

from showtime.faces.hall import Joint
from showtime.faces.hall.floor import floor
from showtime.faces.hall.standing import hall_wide, in_the_way, pairs
from showtime.fair.hall import HallDay, Place, Together


def test_the_demos_stalls_stand_in_the_way_of_those_within_four_metres(eight: Joint) -> None:
    found = in_the_way(eight.plan, eight.hall.number("The Paper Menagerie"))
    assert [(each.stall, each.distance_m) for each in found] == [
        ("The Lantern Cart", 3.0),
        ("The Kettle Choir", 3.5),
    ]
    assert all(each.rules == (eight.hall.together[0],) for each in found)
    assert found[0].plays == eight.plan.performances[1]


def test_how_loud_it_is_there_goes_by_the_distance(eight: Joint) -> None:
    """20 lg of the distance less: ISO 9613-2, divergence of a point source."""
    cart = in_the_way(eight.plan, eight.hall.number("The Paper Menagerie"))[0]
    loudest = max(each.piece.level_dba or 0 for each in eight.plan.performances[1])
    assert cart.heard_here_dba == pytest.approx(loudest - 20 * log10(3))


def test_a_rule_of_the_whole_hall_is_nobodys_neighbourhood(
    by_hand: Callable[..., object], hall_named: Callable[..., HallDay]
) -> None:
    hall = replace(hall_named(["a", "b", "c"], 3), together=(Together(2),))
    assert pairs(hall) == [] and [rule.most for rule in hall_wide(hall)] == [2]


def test_a_distance_of_just_the_limit_is_within_it(hall_named: Callable[..., HallDay]) -> None:
    hall = replace(hall_named(["a", "b", "c"], 3, 4.0), together=(Together(1, 4.0),))
    assert pairs(hall) == [(0, 1, 4.0), (1, 2, 4.0)]


def drawn(hall: HallDay) -> ElementTree.Element:
    return ElementTree.fromstring(floor(hall, linked=True))


def spots(root: ElementTree.Element) -> list[tuple[float, float]]:
    found = [e for e in root.iter() if "spot" in e.get("class", "")]
    return [(float(e.get("cx", "")), float(e.get("cy", ""))) for e in found]


def test_the_drawing_keeps_the_halls_proportions_and_its_scale_is_true(
    eight: Joint,
) -> None:
    root = drawn(eight.hall)
    points, places = spots(root), eight.hall.places
    px = (points[3][0] - points[0][0]) / (places[3].x_m - places[0].x_m)
    for (x, y), place in zip(points, places, strict=True):
        assert x - points[0][0] == pytest.approx((place.x_m - places[0].x_m) * px, abs=0.2)
        assert points[0][1] - y == pytest.approx((place.y_m - places[0].y_m) * px, abs=0.2)
    bars = [e for e in root.iter() if e.tag.endswith("polyline") and e.get("class") == "s-ink"]
    ends = [tuple(map(float, point.split(","))) for point in bars[0].get("points", "").split()]
    figures = [float(e.text or "") for e in root.iter() if re.fullmatch(r"[\d.]+", e.text or "")]
    metres = figures[-1]
    assert (ends[1][0] - ends[0][0]) / metres == pytest.approx(px, rel=0.01)


@pytest.mark.parametrize(
    "places",
    [
        [(0, 0)],
        [(0, 0), (0, 0)],
        [(0, 0), (500, 0)],
        [(0, 0), (0, 500)],
        [(-3, -3), (0.1, 0), (0.2, 0)],
        [(0, 0), (5000, 5000), (1, 1)],
    ],
)
def test_every_hall_fits_the_drawing(
    places: list[tuple[float, float]], hall_named: Callable[..., HallDay]
) -> None:
    hall = hall_named([f"Stall {n}" for n in range(len(places))], 9)
    hall = replace(hall, places=tuple(Place(x, y) for x, y in places))
    root = drawn(hall)
    _, _, wide, high = map(float, root.get("viewBox", "").split())
    assert high <= 1000
    for x, y in spots(root):
        assert 20 <= x <= wide - 20 and 20 <= y <= high - 60


def test_names_do_not_lie_upon_each_other(eight: Joint, sixty: Joint) -> None:
    """The demo's all have room; of sixty none has, so that the numbers must do."""
    names = [e.text for e in drawn(eight.hall).iter() if e.text in eight.hall.names]
    assert sorted(filter(None, names)) == sorted(eight.hall.names)
    assert not [e.text for e in drawn(sixty.hall).iter() if (e.text or "").startswith("The Stall")]
