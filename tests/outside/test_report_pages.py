"""The report's page against rules that are not ours.

Contrast: WCAG 2.2, 1.4.3, with its relative luminance; 4.5:1 for text. Pictures: SVG is
XML 1.0, read by Expat. Tables: RFC 4180, lines end in CR LF, read by Python's csv. The mean wait of
those who ask at any moment: Osuna and Newell, Transportation Science 6 (1972), (memory).
"""

from __future__ import annotations

import csv
import random
from datetime import timedelta
from io import StringIO
from xml.etree import ElementTree

import pytest

from showtime.faces.report import document, tables
from showtime.faces.report.drawing import INKS
from showtime.faces.report.pictures import pictures
from showtime.fair import Plan, Stall
from showtime.live import events as happened
from showtime.live.account import Account, Read, account_of
from showtime.wording import Kind

PAPERS = ("#fbf6ea", "#211b16")


def luminance(colour: str) -> float:
    shares = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_measure_is_the_standards() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("scheme", [0, 1])
@pytest.mark.parametrize("ink", ["ink", "faint", "red", "green"])
def test_every_ink_is_legible_by_light_and_by_night(ink: str, scheme: int) -> None:
    assert contrast(INKS[ink][scheme], PAPERS[scheme]) >= 4.5
    assert contrast(INKS[ink][scheme], INKS["band"][scheme]) >= 3


@pytest.fixture
def asked_often(tin_orchard: Stall, saturday_plan: Plan) -> Account:
    """A day exactly as planned, on which very many asked, at any moment of the open hours."""
    day, luck = saturday_plan.day, random.Random(5)
    slots = tuple(happened.Slot(p.starts, p.piece.name) for p in saturday_plan.performances)
    events: list[happened.Event] = [
        happened.DayBegan(at=day.hours.start, stall="The Tin Orchard", date=day.date, slots=slots)
    ]
    for slot, each in zip(slots, saturday_plan.performances, strict=True):
        events.append(happened.Started(at=slot.starts, slot=slot))
        events.append(happened.Finished(at=each.ends, slot=slot))
    for number in range(20_000):
        moment = day.hours.start + luck.random() * day.hours.length
        events.append(
            happened.Answered(
                at=moment,
                trigger="key",
                kind=Kind.SOON,
                text=f"<{number}> & so on",
                language="en",
                template=0,
                told=None,
                spoken="aloud",
            )
        )
    events.sort(key=lambda event: event.at)
    events.append(happened.DayEnded(at=day.hours.end))
    return account_of(tin_orchard, Read(tuple(events)), day.hours.end)


def test_those_who_come_at_any_moment_wait_as_long_as_the_plan_promised(
    asked_often: Account, saturday_plan: Plan
) -> None:
    found = document(asked_often)
    assert found["waits"]["kept_mean"] == found["waits"]["promised_mean"]
    closes = saturday_plan.day.hours.end
    whole = [
        wait if wait is not None else closes - asked
        for asked, wait in zip(asked_often.asks, asked_often.waits, strict=True)
    ]
    mean = sum(whole, timedelta(0)) / len(whole)
    assert mean / saturday_plan.mean_wait == pytest.approx(1, abs=0.02)


def test_pictures_are_xml_and_tables_are_as_the_rfc_has_them(asked_often: Account) -> None:
    found = document(asked_often)
    for title, picture in pictures(found):
        root = ElementTree.fromstring(picture)
        assert root.tag == "{http://www.w3.org/2000/svg}svg"
        assert root.findtext("{http://www.w3.org/2000/svg}title") == title
    for name, content in tables(found).items():
        text = content.decode()
        assert text.count("\r\n") == text.count("\n"), name
        rows = list(csv.reader(StringIO(text, newline="")))
        assert len({len(row) for row in rows}) == 1
        assert len(rows) == text.count("\r\n")
    waits = list(csv.reader(StringIO(tables(found)["asks.csv"].decode())))
    assert len(waits) == 20_001
