"""What the organiser puts into a folder, read back by readers that did not write it.

Tables: RFC 4180, by Python's csv. Calendars: RFC 5545, by icalendar. Pictures: XML 1.0, by Expat.
Paper: PDF, by PDFium.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from io import StringIO
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pypdfium2
import pytest
from icalendar import Calendar

from showtime.faces.calendar import CalendarError
from showtime.faces.hall import Joint, documents, joint, papers
from showtime.fair.hall import HallDay, HallPlan
from showtime.live.handout import handout_from

NOW = datetime(2027, 2, 12, 20, 0, tzinfo=UTC)
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def made(eight: Joint, tmp_path: Path) -> dict[str, bytes]:
    return by_name(papers(eight, tmp_path, NOW), tmp_path)


def by_name(found: dict[Path, bytes], folder: Path) -> dict[str, bytes]:
    return {file.relative_to(folder).as_posix(): content for file, content in found.items()}


def written(found: dict[Path, bytes]) -> None:
    for file, content in found.items():
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(content)


def test_the_folder_has_everything_for_the_hall_and_two_files_for_each_stall(
    made: dict[str, bytes], eight: Joint
) -> None:
    whole = {name for name in made if "/" not in name}
    assert whole == {
        *("hall.html", "timetable.html", "timetable.pdf", "timetable.csv"),
        *("fairness.csv", "hall.ics", "noise.svg"),
    }
    stalls = {name for name in made if name.startswith("stalls/")}
    assert len(stalls) == 2 * len(eight.hall.names) and "stalls/The-Tin-Orchard.json" in stalls


def test_the_timetable_as_a_table_has_every_performance(
    made: dict[str, bytes], eight: Joint
) -> None:
    text = made["timetable.csv"].decode()
    assert text.count("\n") == text.count("\r\n")
    rows = list(csv.DictReader(StringIO(text, newline="")))
    found = {(r["stall"], datetime.fromisoformat(r["starts"]), r["piece"]) for r in rows}
    planned = {
        (eight.hall.names[number], each.starts, each.piece.name)
        for number, each in eight.in_order()
    }
    assert found == planned and len(rows) == len(planned)
    for row in rows:
        starts, ends = (datetime.fromisoformat(row[head]) for head in ("starts", "ends"))
        assert starts.utcoffset() is not None and ends > starts


def test_the_table_of_fairness_has_each_share_and_what_they_come_to(
    made: dict[str, bytes], eight: Joint
) -> None:
    rows = list(csv.DictReader(StringIO(made["fairness.csv"].decode(), newline="")))
    shares = [float(row["value"]) for row in rows if row["figure"] == "share"]
    assert shares == pytest.approx(eight.plan.shares, abs=1e-6)
    totals = {row["figure"]: float(row["value"]) for row in rows if row["figure"] != "share"}
    assert totals["smallest_share"] == pytest.approx(min(shares), abs=1e-6)
    squares = sum(share**2 for share in shares)
    assert totals["jain"] == pytest.approx(sum(shares) ** 2 / (8 * squares), abs=1e-5)


def test_the_halls_calendar_is_the_stalls_calendars_together(
    made: dict[str, bytes], eight: Joint
) -> None:
    def entries(name: str) -> dict[str, tuple[object, ...]]:
        return {
            str(e["UID"]): (e.decoded("DTSTART"), e.decoded("DTEND"), str(e["SUMMARY"]))
            for e in Calendar.from_ical(made[name]).walk("VEVENT")
        }

    together: dict[str, tuple[object, ...]] = {}
    for name in made:
        if name.startswith("stalls/") and name.endswith(".ics"):
            together |= entries(name)
    assert entries("hall.ics") == together
    assert len(together) == sum(map(len, eight.plan.performances))
    for line in made["hall.ics"].split(b"\r\n"):
        assert len(line) <= 75 and b"\n" not in line


def test_a_calendar_that_is_there_learns_what_changed_and_who_has_left(
    eight: Joint, by_hand: Callable[[HallDay], HallPlan], tmp_path: Path
) -> None:
    written(papers(eight, tmp_path, NOW))
    hall = eight.hall
    fewer = replace(hall, days=hall.days[:7], places=hall.places[:7])
    kept = eight.plan.performances[:7]
    shorter = (kept[0][1:], *kept[1:])
    plan = replace(eight.plan, hall=fewer, performances=shorter, alone=eight.plan.alone[:7])
    later = papers(joint(plan), tmp_path, NOW + timedelta(hours=1))
    status = {
        (str(e["LOCATION"]), e.decoded("DTSTART")): (str(e["STATUS"]), e["SEQUENCE"])
        for e in Calendar.from_ical(later[tmp_path / "hall.ics"]).walk("VEVENT")
    }
    gone = f"{hall.names[7]}, {hall.fair}"
    assert all(found == ("CANCELLED", 1) for (place, _), found in status.items() if place == gone)
    first = f"{hall.names[0]}, {hall.fair}", kept[0][0].starts
    assert status[first] == ("CANCELLED", 1)
    assert status[f"{hall.names[1]}, {hall.fair}", kept[1][0].starts] == ("CONFIRMED", 0)


def test_a_calendar_of_somebody_else_is_left_alone(eight: Joint, tmp_path: Path) -> None:
    theirs = (
        b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:x\r\nBEGIN:VEVENT\r\nUID:dentist\r\n"
        b"DTSTAMP:20270101T000000Z\r\nCREATED:20270101T000000Z\r\nLAST-MODIFIED:20270101T000000Z\r\n"
        b"DTSTART:20270213T100000Z\r\nDTEND:20270213T103000Z\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
    )
    (tmp_path / "hall.ics").write_bytes(theirs)
    with pytest.raises(CalendarError, match=r"hall\.ics:1:1: .* not of Osierholt"):
        papers(eight, tmp_path, NOW)


def test_each_stalls_day_file_is_what_its_keeper_can_run(
    made: dict[str, bytes], eight: Joint
) -> None:
    for number, name in enumerate(eight.hall.names):
        (file,) = [f for f in made if f == f"stalls/{name.replace(' ', '-')}.json"]
        body = json.loads(made[file])
        handed = handout_from(body, [eight.hall.days[number]], file)
        assert handed.performances == eight.plan.performances[number]
        assert [q.span for q in handed.quiet] == [q.span for q in eight.handouts[number].quiet]


def test_the_noise_picture_tells_each_stalls_loudest_and_its_limit(
    made: dict[str, bytes], eight: Joint
) -> None:
    root = ElementTree.fromstring(made["noise.svg"])
    words = " ".join(root.itertext())
    for those in eight.heard:
        for each in those:
            assert each.loudest is not None
            assert f"{each.loudest.level:.1f} dBA" in words
    assert "allowed 63 in any 60 min" in words
    assert "estimates for a free field" in words and "sound level meter" in words
    assert root.tag == f"{SVG}svg"


def test_the_drawn_level_never_hides_a_peak(sixty: Joint, tmp_path: Path) -> None:
    """However short a peak is, it is on the drawing as high as it is."""
    root = ElementTree.fromstring(papers(sixty, tmp_path, NOW)[tmp_path / "noise.svg"])
    lines = [e for e in root.iter(f"{SVG}polyline") if e.get("class") == "s-green"]
    tops = [min(float(p.split(",")[1]) for p in e.get("points", "").split()) for e in lines]
    levels = [each.loudest.level for those in sixty.heard for each in those if each.loudest]
    limits = [64.0]
    high = 5 * (max([*levels, *limits]) // 5 + 1)
    for row, level in enumerate(levels):
        top = 44 + 30 + 92 * row
        expected = top + (92 - 16) * (high - level) / 40
        assert min(abs(expected - y) for y in tops) < 0.06


@pytest.mark.parametrize("which", ["eight", "sixty", "odd"])
def test_the_paper_has_every_stall_with_all_its_times(
    which: str, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    found: Joint = request.getfixturevalue(which)
    pdf = pypdfium2.PdfDocument(papers(found, tmp_path, NOW)[tmp_path / "timetable.pdf"])
    pages = [page.get_textpage().get_text_bounded() for page in pdf]
    words = " ".join(" ".join(pages).split())
    assert len(pages) == {"eight": 2, "sixty": 4, "odd": 2}[which]
    for given in found.plan.performances:
        for each in given:
            assert f"{found.hall.local(each.starts):%H:%M}" in words
    if which != "odd":
        assert all(words.count(name) >= 2 for name in found.hall.names)
    assert "estimates for a free field" in words


def test_whatever_a_stall_is_called_the_tables_and_pictures_stay_what_they_are(
    odd: Joint, tmp_path: Path
) -> None:
    made = by_name(papers(odd, tmp_path, NOW), tmp_path)
    ElementTree.fromstring(made["noise.svg"])
    rows = list(csv.DictReader(StringIO(made["timetable.csv"].decode(), newline="")))
    assert not [row for row in rows if row["stall"].startswith("=")]
    folder = tmp_path.resolve()
    for file in papers(odd, tmp_path, NOW):
        assert file.resolve().is_relative_to(folder)
    assert len({name.casefold() for name in made}) == len(made)


def test_where_nothing_is_told_of_levels_nothing_is_claimed(
    eight: Joint, by_hand: Callable[[HallDay], HallPlan], tmp_path: Path
) -> None:
    silent = [
        replace(day, pieces=tuple(replace(piece, level_dba=None) for piece in day.pieces))
        for day in eight.hall.days
    ]
    hall = replace(eight.hall, days=tuple(silent), noise=())
    made = by_name(papers(joint(by_hand(hall)), tmp_path, NOW), tmp_path)
    assert "nothing can be said of noise" in made["hall.html"].decode()


def test_the_document_is_what_the_contract_says(eight: Joint) -> None:
    found: dict[str, Any] = json.loads(json.dumps(documents.plan(eight.plan)))
    assert {"fair", "day", "stalls", "levels", "fairness", "seconds"} <= found.keys()
    assert {"stall", "performances", "alone", "share"} <= found["stalls"][0].keys()
    assert {"starts", "ends", "piece"} == found["stalls"][0]["performances"][0].keys()
    assert {"name", "value", "bound", "gap", "proven"} == found["levels"][0].keys()
    assert {"smallest_share", "jain"} == found["fairness"].keys()
    assert [level["proven"] for level in found["levels"]] == [True, False, False]
