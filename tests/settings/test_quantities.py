"""Quantities carry their units, in the ways that people write them."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from showtime.fair import budgets


@pytest.mark.parametrize(
    ("typed", "seconds"),
    [
        ("4 min 30 s", 270), ("4min30s", 270), ("4.5 min", 270), ("270 s", 270), ("7 min", 420),
        ("1 h 30 min", 5400), ("1.5 h", 5400), ("1 hour 30 minutes", 5400), ("90 seconds", 90),
        ("1 h 1 s", 3601), ("2 hours", 7200), ("'3 min'", 180), ("4  min  30  s", 270),
        ("4\u00a0min\u202f30 s", 270), ("010 min", 600), ("0.5 s", 0.5),
    ],
)  # fmt: skip
def test_a_length_of_time(desk: Any, typed: str, seconds: float) -> None:
    stall = desk.stall(desk.changed(("lasts: 4 min 30 s", f"lasts: {typed}")))
    assert stall.days[0].piece("Frost Bells").lasts == timedelta(seconds=seconds)


@pytest.mark.parametrize(
    "typed",
    ["30 s 4 min", "4 min 30", "min", "4 m", "4 mins 2 days", "½ h", "٣ min", "1e3 s", "4:30",
     "--4 min"],
)  # fmt: skip
def test_what_is_no_length_of_time(desk: Any, typed: str) -> None:
    assert "; " in desk.complaint(
        ("lasts: 4 min 30 s", f"lasts: ▸{typed if typed[0] != '-' else repr(typed)}")
    )


@pytest.mark.parametrize(
    ("typed", "level"),
    [("74 dBA", 74), ("74dBA", 74), ("74 dB(A)", 74), ("74.5 dba", 74.5), ("0 dBA", 0)],
)
def test_a_sound_level(desk: Any, typed: str, level: float) -> None:
    stall = desk.stall(desk.changed(("level: 74 dBA", f"level: {typed}")))
    assert stall.days[0].piece("Frost Bells").level_dba == level


@pytest.mark.parametrize(
    ("typed", "ambient"),
    [("21 °C", 21), ("21°C", 21), ("21 C", 21), ("21 ℃", 21), ("-5 °C", -5), ("−5 °C", -5)],
)
def test_a_temperature(desk: Any, typed: str, ambient: float) -> None:
    stall = desk.stall(desk.changed(("ambient: 21 °C", f"ambient: {typed}")))
    heat = next(one for one in stall.days[0].budgets if isinstance(one, budgets.Heat))
    assert heat.ambient_c == ambient


@pytest.mark.parametrize(
    ("old", "new", "field", "value"),
    [
        ("capacity: 10 Ah", "capacity: 9500 mAh", "capacity_ah", 9.5),
        ("idle: 0.4 A", "idle: 400 mA", "idle_a", 0.4),
        ("keep: 20 %", "keep: 12.5%", "keep", 0.125),
        ("keep: 20 %", "keep: 0 %", "keep", 0.0),
    ],
)
def test_the_battery(desk: Any, old: str, new: str, field: str, value: float) -> None:
    stall = desk.stall(desk.changed((old, new)))
    battery = next(one for one in stall.days[0].budgets if isinstance(one, budgets.Battery))
    assert getattr(battery, field) == pytest.approx(value)


def test_a_distance_in_centimetres(desk: Any) -> None:
    stall = desk.stall(desk.changed(("distance: 3 m", "distance: 250 cm")))
    noise = next(one for one in stall.days[0].budgets if isinstance(one, budgets.Noise))
    assert noise.at.distance_m == 2.5


def test_a_piece_that_tells_no_heat_leaves_the_motors_at_rest(desk: Any) -> None:
    stall = desk.stall(desk.changed((" heat: 40 K,", "")))
    assert stall.days[0].piece("Frost Bells").heat_k == 8


def test_without_a_body_there_is_no_heat_to_hold(desk: Any, small_stall: str) -> None:
    before, rest = small_stall.split("body:\n")
    text = before + "wishes:" + rest.split("wishes:")[1]
    stall = desk.stall(text.replace(" heat: 40 K,", ""))
    assert stall.days[0].piece("Frost Bells").heat_k == 0
    assert not any(one.rule in ("heat", "battery") for one in stall.days[0].budgets)


@pytest.mark.parametrize(
    ("voice", "pace"),
    [("{rate: 150 words/min}", 150), ("{rate: 150 wpm}", 150), ("{rate: 150 words a minute}", 150),
     ("{name: en-gb}", 170)],
)  # fmt: skip
def test_how_fast_the_figure_speaks(desk: Any, small_stall: str, voice: str, pace: int) -> None:
    assert desk.stall(small_stall + f"voice: {voice}\n").speaking.words_a_minute == pace
