"""What visitors are shown, and what follows from it, without a browser around it."""

from __future__ import annotations

import json
import re
import socket
import time
from datetime import timedelta

import icalendar
import pytest
import zxingcpp
from PIL import Image

from showtime.faces.pages.addresses import network_url
from showtime.faces.pages.codes import code_lines


def messages(response):
    """The messages of a stream of changes, as they come."""
    for line in response.iter_lines():
        if line.startswith("data: "):
            yield json.loads(line[6:])


def sheets_of(response):
    return (message for message in messages(response) if "sheets" in message)


def test_the_board_tells_the_start_that_the_figure_would_tell(open_stall, visit):
    stall = open_stall("10:02")
    page = visit.get(stall.url).text
    told = stall.state.upcoming[0].starts
    assert f">{stall.clock(told)}</time></p>" in page
    assert [p.told for p in stall.state.promises] == [told]
    assert stall.state.promises[0].triggers == ("board",)


def test_every_time_on_the_board_is_one_of_the_plan(open_stall, visit):
    stall = open_stall("10:02")
    page = visit.get(stall.url).text
    shown = re.findall(r"<time[^>]*>(\d\d:\d\d)</time>", page)
    assert shown == [stall.clock(slot.starts) for slot in stall.state.upcoming]


def test_a_change_is_on_the_board_within_a_second(open_stall, visit):
    stall = open_stall("10:02")
    with visit.stream("GET", f"{stall.url}changes") as stream:
        changes = sheets_of(stream)
        first = next(changes)
        begun = time.monotonic()
        stall.house.tell(["late", "10"])
        second = next(changes)
        assert time.monotonic() - begun < 1.0
    assert first["told"] != second["told"]
    assert stall.clock(stall.state.upcoming[0].starts) in second["sheets"]["en"]["html"]
    assert "New time" in second["sheets"]["en"]["html"]


def test_while_the_day_is_held_no_time_is_shown(open_stall, visit):
    stall = open_stall("10:02")
    stall.house.tell(["hold", "a", "lost", "child"])
    page = visit.get(stall.url).text
    assert "<time" not in page
    assert "A little patience" in page
    assert "lost child" not in page, "why it is held is the keeper's affair"
    assert visit.get(f"{stall.url}day.ics").status_code == 404


def test_why_it_is_quiet_now_stands_on_the_board(open_stall, visit):
    stall = open_stall("11:12")
    page = visit.get(stall.url).text
    assert "Quiet now: a talk next door" in page
    assert "until 11:25" in page


def test_each_language_of_the_stall_has_its_sheet(open_stall, visit):
    stall = open_stall("10:02", languages="de, cy, en")
    with visit.stream("GET", f"{stall.url}changes") as stream:
        message = next(sheets_of(stream))
    assert message["order"] == ["de", "cy", "en"]
    assert "Die nächste Vorstellung" in message["sheets"]["de"]["html"]
    assert "Y perfformiad nesaf" in message["sheets"]["cy"]["html"]


def test_the_day_is_a_calendar_that_a_library_reads(open_stall, visit):
    stall = open_stall("10:02")
    answer = visit.get(f"{stall.url}day.ics")
    assert answer.headers["content-type"].startswith("text/calendar")
    events = icalendar.Calendar.from_ical(answer.content).walk("VEVENT")
    assert [e.decoded("dtstart") for e in events] == [s.starts for s in stall.state.upcoming]
    assert len({str(e["uid"]) for e in events}) == len(events)
    again = icalendar.Calendar.from_ical(visit.get(f"{stall.url}day.ics").content)
    assert [e["uid"] for e in again.walk("VEVENT")] == [e["uid"] for e in events]


def test_the_next_start_comes_with_an_alarm_before_it(open_stall, visit):
    stall = open_stall("10:02")
    file = icalendar.Calendar.from_ical(visit.get(f"{stall.url}next.ics").content)
    (event,) = file.walk("VEVENT")
    (alarm,) = file.walk("VALARM")
    assert event.decoded("dtstart") == stall.state.upcoming[0].starts
    assert alarm.decoded("trigger") == -timedelta(minutes=5)


def test_names_are_shown_as_text_whatever_is_in_them(open_stall, visit):
    rude = "\"<script>alert(1)</script> & <img src=x onerror='x'>\""
    stall = open_stall("11:12", stall=rude, figure=rude, piece=rude, why=rude)
    page = visit.get(stall.url).text
    assert "<script>alert" not in page
    assert "<img src=x" not in page
    assert page.count("&lt;script&gt;alert(1)") >= 4
    file = icalendar.Calendar.from_ical(visit.get(f"{stall.url}next.ics").content)
    assert "<script>" in str(file.walk("VEVENT")[0]["summary"])


def test_the_code_in_the_terminal_is_read_by_a_general_decoder():
    """zxing-cpp reads what segno wrote, drawn as the terminal draws it."""
    lines = code_lines("http://192.0.2.7:8017/")
    light = {"█": (1, 1), "▀": (1, 0), "▄": (0, 1), " ": (0, 0)}
    picture = Image.new("L", (len(lines[0]) + 8, 2 * len(lines) + 8), 255)
    for row, line in enumerate(lines):
        for column, block in enumerate(line):
            for below in (0, 1):
                shade = 255 * light[block][below]
                picture.putpixel((column + 4, 2 * row + below + 4), shade)
    big = picture.resize((picture.width * 6, picture.height * 6), Image.Resampling.NEAREST)
    (found,) = zxingcpp.read_barcodes(big)
    assert found.text == "http://192.0.2.7:8017/"


@pytest.mark.parametrize("path", ["", "board.css", "board.js", "hand.svg", "mark.svg"])
def test_no_page_needs_anything_from_elsewhere(open_stall, visit, path):
    stall = open_stall("10:02")
    body = visit.get(f"{stall.url}{path}").text
    elsewhere = re.findall(r"https?://[^\s\"')]+", body)
    assert [url for url in elsewhere if "www.w3.org/2000/svg" not in url] == []


def test_a_network_that_comes_after_the_day_began_gets_its_code(open_stall, visit, monkeypatch):
    with monkeypatch.context() as unplugged:
        unplugged.setattr(socket, "if_nameindex", list)
        stall = open_stall("10:02", lan=True)
        assert "code.svg" not in visit.get(stall.url).text
        assert visit.get(f"{stall.url}code.svg").status_code == 404
    if network_url(1):
        assert "code.svg" in visit.get(stall.url).text
        assert visit.get(f"{stall.url}code.svg").text.startswith("<svg")
