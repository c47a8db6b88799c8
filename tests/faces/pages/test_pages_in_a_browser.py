"""A visitor's and a keeper's day, in a real browser."""

from __future__ import annotations

import io
import re
import time

import icalendar
import pytest
import zxingcpp
from PIL import Image

PHONE = {"width": 320, "height": 568}
TABLET = {"width": 1280, "height": 800}


@pytest.fixture
def look(browser):
    """Opens a page on a screen of its own, and fails when the page complains of anything."""
    complaints, opened = [], []

    def opens(url, screen=PHONE, scheme="light", ticking=True, **more):
        opened.append(browser.new_context(viewport=screen, color_scheme=scheme, **more))
        page = opened[-1].new_page()
        page.set_default_timeout(8000)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on(
            "console",
            lambda line: complaints.append(line.text) if "Content Security" in line.text else None,
        )
        if not ticking:
            page.clock.install()
        page.goto(url)
        return page

    yield opens
    for context in opened:
        context.close()
    assert complaints == []


def enter(page, stall):
    page.goto(f"{stall.url}keeper")
    page.fill("#pin", stall.pin)
    page.get_by_role("button", name="Open").click()
    page.get_by_role("button", name="HOLD").wait_for()
    page.wait_for_load_state("load")


def contrast(page, selector):
    """WCAG 2.2's contrast ratio (relative luminance as defined there) of text on the page."""
    colours = page.eval_on_selector(
        selector,
        "e => [getComputedStyle(e).color, getComputedStyle(document.body).backgroundColor]",
    )
    light, dark = sorted((luminance(c) for c in colours), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def luminance(colour):
    parts = [int(n) / 255 for n in re.findall(r"\d+", colour)[:3]]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def violations(page):
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response["violations"]
    return [(each["id"], [node["html"] for node in each["nodes"]]) for each in found]


def test_a_visitor_sees_a_change_on_two_phones_within_a_second(open_stall, look):
    stall = open_stall("10:02")
    phones = [look(stall.url), look(stall.url, TABLET)]
    for phone in phones:
        phone.get_by_text("10:30", exact=True).wait_for()
        phone.get_by_text("in 28 min").wait_for()
    begun = time.monotonic()
    stall.house.tell(["late", "15"])
    new = stall.clock(stall.state.upcoming[0].starts)
    for phone in phones:
        phone.wait_for_function(
            "t => document.querySelector('.time time').textContent === t", arg=new
        )
    assert time.monotonic() - begun < 1.0
    assert "New time" in phones[0].inner_text("#said"), "a screen reader is told"


def test_a_lost_connection_is_owned_up_to_and_mended_by_itself(open_stall, look):
    stall = open_stall("10:02")
    phone = look(stall.url)
    phone.get_by_text("in 28 min").wait_for()
    before = phone.eval_on_selector(".time", "e => getComputedStyle(e).color")
    stall.unplug()
    phone.get_by_text("Connection lost. This may be out of date: last heard at 10:0").wait_for(
        timeout=5000
    )
    assert phone.eval_on_selector(".time", "e => getComputedStyle(e).color") != before
    assert violations(phone) == [], "greyed, and legible all the same"
    stall.house.tell(["late", "15"])
    stall.plug_in()
    new = stall.clock(stall.state.upcoming[0].starts)
    phone.wait_for_function(
        "t => document.querySelector('.time time').textContent === t", arg=new, timeout=15000
    )
    phone.wait_for_function("() => !document.documentElement.classList.contains('stale')")
    assert phone.inner_text("#lost") == ""


def nine_seconds(page):
    """The page's own clock goes on so long, while signs of life keep coming."""
    page.clock.fast_forward(4500)
    page.wait_for_timeout(2300)
    page.clock.fast_forward(4500)
    page.wait_for_timeout(300)


def test_the_languages_come_in_turn_until_one_is_chosen(open_stall, look):
    stall = open_stall("10:02", languages="en, de")
    phone = look(stall.url, ticking=False)
    phone.get_by_text("The next performance", exact=True).wait_for()
    nine_seconds(phone)
    phone.get_by_text("Die nächste Vorstellung", exact=True).wait_for()
    assert phone.get_attribute("html", "lang") == "de"
    phone.get_by_role("button", name="English").click()
    phone.get_by_text("The next performance", exact=True).wait_for()
    nine_seconds(phone)
    assert phone.get_attribute("html", "lang") == "en"


def test_silence_is_owned_up_to_even_if_the_connection_seems_to_stand(open_stall, look):
    stall = open_stall("10:02")
    phone = look(stall.url, ticking=False)
    phone.get_by_text("in 28 min").wait_for()
    phone.clock.fast_forward(7000)
    phone.get_by_text("Connection lost.").wait_for(timeout=1500)


def test_the_day_is_downloaded_as_a_calendar(open_stall, look):
    stall = open_stall("10:02")
    phone = look(stall.url)
    with phone.expect_download() as waiting:
        phone.get_by_text("The day for your calendar").click()
    with open(waiting.value.path(), "rb") as file:
        events = icalendar.Calendar.from_ical(file.read()).walk("VEVENT")
    assert [e.decoded("dtstart") for e in events] == [s.starts for s in stall.state.upcoming]


def test_the_code_on_the_board_is_read_from_a_picture_of_the_screen(open_stall, look):
    """zxing-cpp reads what a phone's camera would see."""
    stall = open_stall("10:02", lan=True)
    board = look(stall.url, TABLET)
    board.wait_for_function("() => document.querySelector('.code img').complete")
    (found,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(board.screenshot())))
    assert found.text == stall.url


def test_a_keeper_holds_goes_on_and_takes_back(open_stall, look):
    stall = open_stall("10:02")
    phone = look(stall.url)
    enter(phone, stall)
    phone.get_by_role("button", name="5 minutes late").click()
    phone.get_by_text("Take back: late 5").wait_for()
    phone.get_by_role("button", name="Take back").click()
    phone.get_by_text("10:30 Frost Bells").first.wait_for()
    phone.get_by_role("button", name="HOLD").click()
    phone.get_by_role("button", name="Go on", exact=True).wait_for()
    assert stall.state.stage == "held"
    phone.get_by_role("button", name="Go on", exact=True).click()
    phone.get_by_role("button", name="Play now").wait_for()
    assert stall.state.stage == "waiting"
    phone.fill("#order", "off 10:30")
    phone.get_by_role("button", name="What would it do?").click()
    phone.get_by_role("button", name="Do it").click()
    phone.get_by_role("button", name="Take back: off 10:30").wait_for()
    assert stall.clock(stall.state.upcoming[0].starts) != "10:30"


def test_what_happens_elsewhere_is_on_the_keepers_phone_by_itself(open_stall, look):
    stall = open_stall("10:02")
    phone = look(stall.url)
    enter(phone, stall)
    stall.house.tell(["hold"])
    phone.get_by_role("button", name="Go on", exact=True).wait_for(timeout=4000)


def test_hold_is_in_sight_and_a_thumb_wide_wherever_the_page_is(open_stall, look):
    stall = open_stall("10:02")
    for screen in (PHONE, {"width": 568, "height": 320}, TABLET):
        phone = look(stall.url, screen)
        enter(phone, stall)
        for depth in (0, 400, 100000):
            phone.evaluate("d => window.scrollTo(0, d)", depth)
            box = phone.get_by_role("button", name="HOLD").bounding_box()
            assert box["height"] >= 48
            assert box["width"] >= 200
            assert box["y"] + box["height"] <= screen["height"]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_wrong_on_any_page(open_stall, look, scheme):
    """axe-core's rules (WCAG 2 A and AA, best practices) in the browser, with its own figures."""
    stall = open_stall("11:12", languages="en, de")
    board = look(stall.url, TABLET, scheme)
    board.get_by_text("in 18 min").wait_for()
    assert contrast(board, ".time") >= 7
    assert contrast(board, ".away") >= 7
    assert violations(board) == []
    board.goto(f"{stall.url}keeper")
    assert violations(board) == []
    enter(board, stall)
    assert violations(board) == []
    stall.house.tell(["hold"])
    board.goto(stall.url)
    board.get_by_text("A little patience").first.wait_for()
    assert violations(board) == []


def test_light_or_dark_is_chosen_by_hand_and_remembered(open_stall, look):
    stall = open_stall("10:02")
    phone = look(stall.url)
    paper = phone.eval_on_selector("body", "e => getComputedStyle(e).backgroundColor")
    phone.get_by_role("button", name="Light or dark").click()
    dark = phone.eval_on_selector("body", "e => getComputedStyle(e).backgroundColor")
    assert luminance(dark) < 0.05 < luminance(paper)
    assert contrast(phone, ".time") >= 7
    phone.reload()
    assert phone.eval_on_selector("body", "e => getComputedStyle(e).backgroundColor") == dark


def test_the_time_is_as_large_as_the_screen_allows_and_nothing_is_cut_off(open_stall, look):
    """Legible at 5 m: letters of 1/200 of the distance, 25 mm (common practice for signs). On a
    10-inch tablet, 217 mm wide, digits are that tall when they take 11 % of its width."""
    stall = open_stall(figure="Bartholomew of the Very Long and Winding Orchard Road")
    for screen in (TABLET, {"width": 800, "height": 1280}, PHONE, {"width": 568, "height": 320}):
        page = look(stall.url, screen)
        page.get_by_text("in 28 min").wait_for()
        assert page.evaluate("() => document.documentElement.scrollWidth") <= screen["width"]
        size = page.eval_on_selector(".time", "e => parseFloat(getComputedStyle(e).fontSize)")
        assert size * 0.66 >= 0.11 * screen["width"], "digits are two thirds of the size"
        box = page.locator(".time").bounding_box()
        assert box["y"] + box["height"] <= screen["height"]


def test_without_scripts_the_board_tells_the_time_and_the_keeper_can_hold(open_stall, look):
    stall = open_stall("10:02")
    phone = look(stall.url, java_script_enabled=False)
    assert phone.get_by_text("10:30", exact=True).is_visible()
    enter(phone, stall)
    phone.get_by_role("button", name="HOLD").click()
    phone.get_by_role("button", name="Go on", exact=True).wait_for()
    assert stall.state.stage == "held"
