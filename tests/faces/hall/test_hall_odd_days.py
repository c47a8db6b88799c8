"""Halls on days that are not like others: past midnight, clocks that change, nothing planned."""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from io import StringIO
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from showtime.faces.hall import joint, papers
from showtime.faces.hall.words import hall_clock
from showtime.fair import Performance, Span
from showtime.fair.hall import HallDay, HallPlan

NOW = datetime(2027, 2, 12, 20, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)


def moved(hall: HallDay, day: date, opens: datetime, hours: int) -> HallDay:
    """The same hall on another day, open from then for so many hours."""
    span = Span(opens, opens + hours * HOUR)
    days = tuple(replace(each, date=day, hours=span, quiet=()) for each in hall.days)
    return replace(hall, date=day, hours=span, days=days)


@pytest.fixture
def spring(hall_named: Callable[..., HallDay]) -> HallDay:
    """The night in which London's clocks go from 01:00 to 02:00."""
    opens = datetime(2027, 3, 27, 23, 0, tzinfo=UTC)
    return moved(hall_named(["a", "b", "c"], 3), date(2027, 3, 27), opens, 5)


def test_a_night_on_which_clocks_change_names_the_zone(spring: HallDay) -> None:
    shown = [hall_clock(spring, spring.hours.start + n * HOUR) for n in range(4)]
    assert shown == ["23:00 GMT", "Sun 00:00 GMT", "Sun 02:00 BST", "Sun 03:00 BST"]


def test_its_papers_are_whole(
    spring: HallDay, by_hand: Callable[[HallDay], HallPlan], tmp_path: Path
) -> None:
    plan = by_hand(spring)
    made = papers(joint(plan), tmp_path, NOW)
    rows = list(csv.DictReader(StringIO(made[tmp_path / "timetable.csv"].decode(), newline="")))
    assert {row["starts"][-6:] for row in rows} == {"+00:00", "+01:00"}
    spans = [
        datetime.fromisoformat(row["ends"]) - datetime.fromisoformat(row["starts"]) for row in rows
    ]
    assert set(spans) <= {timedelta(minutes=4), timedelta(minutes=6)}


def test_the_slider_goes_by_the_wall_clock_of_the_hall(
    spring: HallDay, by_hand: Callable[[HallDay], HallPlan], tmp_path: Path, browser: Any
) -> None:
    """Wherever the browser is, and also over the hour that is left out."""
    page_file = tmp_path / "hall.html"
    page_file.write_bytes(papers(joint(by_hand(spring)), tmp_path, NOW)[page_file])
    context = browser.new_context(timezone_id="Asia/Tokyo", offline=True)
    page = context.new_page()
    page.goto(page_file.as_uri())
    page.locator("#slide").fill("7140")  # a minute before two hours after opening
    assert page.locator("#shown").inner_text() == "00:59"
    page.locator("#slide").press("ArrowRight")
    assert page.locator("#shown").inner_text() == "02:00"
    context.close()


def test_a_hall_in_which_nothing_is_planned_has_papers_all_the_same(
    hall_named: Callable[..., HallDay], tmp_path: Path
) -> None:
    hall = hall_named(["a", "b"], 2)
    made = papers(joint(HallPlan(hall, ((), ()), (0, 3))), tmp_path, NOW)
    ElementTree.fromstring(made[tmp_path / "noise.svg"])
    text = made[tmp_path / "hall.html"].decode()
    assert "0 performances" in text and "no sound of others" in text


def test_a_day_on_which_no_stall_is_open_has_papers_all_the_same(
    hall_named: Callable[..., HallDay], tmp_path: Path
) -> None:
    made = papers(joint(HallPlan(hall_named([], 1), (), ())), tmp_path, NOW)
    assert "No stall is open on this day." in made[tmp_path / "hall.html"].decode()
    assert not [file for file in made if file.parent.name == "stalls"]


def test_what_plays_outside_the_hours_stays_on_the_drawing(
    hall_named: Callable[..., HallDay], tmp_path: Path
) -> None:
    """A plan from anywhere may be wrong; it is drawn as far as there is room."""
    hall = hall_named(["a", "b"], 2)
    piece = hall.days[0].pieces[0]
    early = Performance(hall.hours.start - HOUR, piece)
    late = Performance(hall.hours.end - timedelta(minutes=1), piece)
    made = papers(joint(HallPlan(hall, ((early, late), ()), (2, 2))), tmp_path, NOW)
    text = made[tmp_path / "hall.html"].decode()
    assert 'x="-' not in text and 'width="-' not in text
