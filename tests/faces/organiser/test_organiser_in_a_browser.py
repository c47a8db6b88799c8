"""An organiser's day with a phone in hand, in a real browser."""

from __future__ import annotations

import re
import time
from datetime import timedelta

import pytest

from showtime.fairnet.view import CapUsed, Here

PHONE = {"width": 360, "height": 640}
LOW = {"width": 640, "height": 360}
WIDE = {"width": 1280, "height": 800}


@pytest.fixture
def look(browser):
    """Opens the page behind its door, and fails when the page complains of anything."""
    complaints, opened = [], []

    def opens(hall, screen=PHONE, scheme="light", ticking=True, **more):
        opened.append(browser.new_context(viewport=screen, color_scheme=scheme, **more))
        page = opened[-1].new_page()
        page.set_default_timeout(15000)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on(
            "console",
            lambda line: complaints.append(line.text) if "Content Security" in line.text else None,
        )
        if not ticking:
            page.clock.install()
        page.goto(hall.url)
        page.fill("#pin", hall.pin)
        page.get_by_role("button", name="Open").click()
        page.get_by_role("button", name="Quiet in the hall").wait_for()
        page.wait_for_load_state("load")
        return page

    yield opens
    for context in opened:
        context.close()
    assert complaints == []


def luminance(colour):
    parts = [int(n) / 255 for n in re.findall(r"\d+", colour)[:3]]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(page, selector):
    """WCAG 2.2's contrast ratio of an element's own two colours, or of its text on the page."""
    colours = page.eval_on_selector(
        selector,
        """e => { const own = getComputedStyle(e), page = getComputedStyle(document.body);
            const clear = own.backgroundColor === "rgba(0, 0, 0, 0)";
            return [own.color, clear ? page.backgroundColor : own.backgroundColor]; }""",
    )
    light, dark = sorted((luminance(c) for c in colours), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def violations(page):
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response["violations"]
    return [(each["id"], [node["html"] for node in each["nodes"]]) for each in found]


def busy(hall):
    """Something of everything: sounding, held, gone, a cap broken, clocks apart."""
    stalls = hall.organiser
    stalls.plays("The Tin Orchard")
    stalls.plays("The Kettle Choir", 3)
    stalls.at_stall("The Lantern Cart", here=Here.GONE)
    caps = (CapUsed("fair rule", 5, 4, "5 performances"), CapUsed("corner", 3, 4, "3 times"))
    stalls.at_stall("The Weather Cabinet", stage="held", clock_apart=34.0, caps=caps)


def best(takes, tries=4, wanted=1.0):
    """The least of some tries, in seconds: a busy machine makes some of them longer."""
    least = float("inf")
    for _ in range(tries):
        if least >= wanted:
            least = min(least, takes())
    return least


def test_one_press_is_quiet_and_the_count_of_stalls_follows_within_a_second(open_hall, look):
    hall = open_hall()
    phones = [look(hall), look(hall, WIDE)]

    def takes():
        begun = time.monotonic()
        phones[0].get_by_role("button", name="Quiet in the hall for 10 minutes").click()
        for phone in phones:
            phone.locator(".confirmed", has_text="0 of 6 stalls have it").wait_for()
        hall.organiser.confirm()
        for phone in phones:
            phone.locator(".confirmed", has_text="All 6 stalls have it").wait_for()
        taken = time.monotonic() - begun
        assert "All 6 stalls have it" in phones[1].inner_text("#told"), "a screen reader is told"
        hall.organiser.lift(hall.organiser.view().quiet[0].call)
        hall.organiser.confirm()
        for phone in phones:
            phone.locator(".hushed").wait_for(state="detached")
        return taken

    assert best(takes) < 1.0
    assert set(hall.organiser.calls) == {(10, "the organiser asks for quiet")}


def test_the_minutes_and_the_reason_are_hers_and_it_is_lifted_again(open_hall, look):
    hall = open_hall()
    phone = look(hall)
    phone.fill("#why", "a speech")
    phone.get_by_text("30 min", exact=True).click()
    phone.get_by_role("button", name="Quiet in the hall for 30 minutes").click()
    phone.get_by_text("30 min left: a speech").wait_for()
    assert hall.organiser.calls == [(30, "a speech")]
    hall.organiser.confirm()
    phone.get_by_role("button", name="Lift the quiet").click()
    phone.get_by_text("0 of 6 stalls know that it is over").first.wait_for()
    hall.organiser.confirm()
    phone.locator(".hushed").wait_for(state="detached")
    assert phone.input_value("#why") == "", "the next reason is another one"


def test_who_has_not_heard_is_named(open_hall, look):
    hall = open_hall()
    phone = look(hall)
    hall.organiser.at_stall("The Lantern Cart", here=Here.GONE)
    phone.get_by_role("button", name="Quiet in the hall").click()
    phone.get_by_text("0 of 6 stalls have it").first.wait_for()
    hall.organiser.confirm(*(n for n in hall.organiser.hall.names if n != "The Lantern Cart"))
    phone.get_by_text("Not on the line, to be told by somebody: The Lantern Cart").wait_for()


def test_what_happens_at_stalls_is_on_the_page_by_itself(open_hall, look):
    hall = open_hall()
    phone = look(hall)
    hall.organiser.plays("The Paper Menagerie")
    phone.get_by_text("3 The Paper Menagerie: Frost Bells").wait_for(timeout=2000)
    assert phone.locator(".spot.sounding text").inner_html() == "3"
    hall.organiser.at_stall("The Marble Aviary", trouble="the controller does not answer")
    phone.locator(".troubles").get_by_text("the controller does not answer").wait_for()
    assert "controller" in phone.inner_text("#told"), "a screen reader is told"


def test_what_she_has_opened_or_is_typing_stays_while_the_hall_changes(open_hall, look):
    hall = open_hall()
    busy(hall)
    phone = look(hall)
    phone.fill("#why", "a spee")
    phone.get_by_text("5 min", exact=True).click()
    phone.get_by_text("1 more cap").click()
    phone.locator("#s5 summary").focus()
    hall.organiser.plays("The Paper Menagerie")
    phone.get_by_text("3 The Paper Menagerie: Frost Bells").wait_for()
    assert phone.locator("#s5 details").get_attribute("open") is not None
    assert phone.evaluate("() => document.activeElement.tagName") == "SUMMARY"
    assert phone.input_value("#why") == "a spee"
    assert phone.get_by_role("button", name="for 5 minutes").is_visible()


def test_a_lost_connection_is_owned_up_to_and_mended_by_itself(open_hall, look):
    hall = open_hall()
    phone = look(hall)
    hall.unplug()
    phone.get_by_text("Connection lost. What stands here is of 14:12").wait_for(timeout=5000)
    assert violations(phone) == [], "greyed, and legible all the same"
    phone.get_by_role("button", name="Quiet in the hall").click()
    phone.get_by_text("NOT SENT: nobody has been told.").wait_for()
    assert hall.organiser.calls == []
    hall.organiser.plays("The Tin Orchard")
    hall.plug_in()
    phone.get_by_label("PIN").wait_for(timeout=15000)
    assert hall.organiser.calls == [], "what was not sent is not sent later"


def test_silence_is_owned_up_to_even_if_the_connection_seems_to_stand(open_hall, look):
    phone = look(open_hall(), ticking=False)
    phone.clock.fast_forward(8000)
    phone.get_by_text("Connection lost.").wait_for(timeout=1500)


def test_a_press_that_hangs_is_said_to_have_failed(open_hall, look):
    hall = open_hall()
    phone = look(hall)
    phone.route("**/hall/quiet", lambda route: route.abort())
    phone.get_by_role("button", name="Quiet in the hall").click()
    phone.get_by_text("NOT SENT: nobody has been told.").wait_for()
    phone.unroute("**/hall/quiet")
    phone.get_by_role("button", name="Quiet in the hall").click()
    phone.get_by_text("Quiet until 14:22").wait_for()


def test_the_button_is_in_sight_and_a_thumb_wide_wherever_the_page_is(open_hall, look):
    hall = open_hall()
    busy(hall)
    page = look(hall)
    for screen in (PHONE, {"width": 320, "height": 568}, LOW, WIDE):
        page.set_viewport_size(screen)
        assert page.evaluate("() => document.documentElement.scrollWidth") <= screen["width"]
        for depth in (0, 400, 100000):
            page.evaluate("d => window.scrollTo(0, d)", depth)
            box = page.get_by_role("button", name="Quiet in the hall").bounding_box()
            assert box["height"] >= 48
            assert box["width"] >= 280
            assert box["y"] + box["height"] <= screen["height"]
        page.evaluate("() => window.scrollTo(0, 1e6)")
        end = page.get_by_role("button", name="Lock this page").bounding_box()
        assert end["y"] + end["height"] <= page.locator(".ask").bounding_box()["y"]


def test_half_of_a_phone_is_left_for_what_there_is_to_see(open_hall, look):
    page = look(open_hall())
    for screen in (PHONE, LOW):
        page.set_viewport_size(screen)
        assert page.locator(".ask").bounding_box()["height"] <= 0.36 * screen["height"]


def test_letters_are_large_enough_for_an_arms_length(open_hall, look):
    """At 0.7 m, letters of 1/200 of the distance (common practice for signs) are 3.5 mm tall. Of a
    phone of 160 CSS pixels an inch that is 22 pixels of a capital's height for what matters most:
    a size of about 31; and running text is well above a newspaper's, 9 points, 12 pixels."""
    hall = open_hall()
    busy(hall)
    hall.organiser.quiet(10, "a speech")
    page = look(hall)
    page.locator(".hushed h2").wait_for()

    def size(selector):
        return page.eval_on_selector(selector, "e => parseFloat(getComputedStyle(e).fontSize)")

    assert size(".clock") >= 30
    assert size(".hushed h2") >= 30
    assert min(size(s) for s in (".hush", ".confirmed", ".who li", ".missing", ".name")) >= 22
    assert min(size(s) for s in (".follows", ".key", ".bar", "summary", ".mark")) >= 17


@pytest.mark.parametrize(
    ("scheme", "screen"), [("light", PHONE), ("dark", WIDE)], ids=["by day", "by night"]
)
def test_axe_finds_nothing_wrong(open_hall, look, scheme, screen):
    """axe-core's rules (WCAG 2 A and AA, best practices) in the browser, with its own figures."""
    hall = open_hall()
    page = look(hall, screen, scheme)
    assert violations(page) == []
    busy(hall)
    hall.organiser.quiet(10, "a speech")
    page.locator(".hushed").wait_for()
    page.get_by_text("1 more cap").click()
    assert violations(page) == []
    for selector in (".hush", ".confirmed", ".status", ".name", ".gone .mark", ".who li"):
        parent = ".hushed" if selector == ".confirmed" else selector
        assert contrast(page, parent) >= 6, selector
    page.get_by_role("button", name="Lock this page").click()
    page.get_by_label("PIN").wait_for()
    assert violations(page) == []


def test_all_of_it_is_done_with_a_keyboard_alone(open_hall, look):
    hall = open_hall()
    page = look(hall, WIDE)
    page.focus("#why")
    page.keyboard.type("a speech")
    page.keyboard.press("Tab")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.get_by_text("15 min left: a speech").wait_for()
    assert hall.organiser.calls == [(15, "a speech")]
    lift = page.get_by_role("button", name="Lift the quiet")
    lift.focus()
    hall.organiser.plays("The Marble Aviary")
    page.get_by_text("6 The Marble Aviary: Frost Bells").wait_for()
    page.keyboard.press("Enter")
    page.get_by_text("The quiet is lifted.").first.wait_for()


def test_what_is_in_focus_is_never_under_the_button(open_hall, look):
    """WCAG 2.2, 2.4.11: focus not obscured."""
    hall = open_hall()
    busy(hall)
    page = look(hall)
    page.locator("#s5 summary").focus()
    box, ask = page.locator("#s5 summary").bounding_box(), page.locator(".ask").bounding_box()
    assert box["y"] + box["height"] <= ask["y"]


def test_without_scripts_quiet_is_called_and_lifted_all_the_same(open_hall, look):
    hall = open_hall()
    phone = look(hall, java_script_enabled=False)
    phone.get_by_text("15 min", exact=True).click()
    phone.get_by_role("button", name="Quiet in the hall").click()
    phone.get_by_text("Quiet until 14:27").wait_for()
    phone.get_by_role("button", name="Lift the quiet").click()
    phone.get_by_text("The quiet is lifted.").wait_for()
    assert hall.organiser.calls == [(15, "the organiser asks for quiet")]


def test_names_are_text_whatever_is_in_them(open_hall, look, hall_named):
    odd = "<img src=x onerror=alert(1)> & \u202e Sons"
    hall = open_hall(hall=hall_named((odd, "W" * 60)))
    phone = look(hall)
    hall.organiser.plays(odd)
    phone.get_by_text(f"1 {odd}: Frost Bells").wait_for()
    assert phone.locator("img").count() == 0
    assert phone.evaluate("() => document.documentElement.scrollWidth") <= 360


def test_sixty_stalls_are_legible_on_the_drawing_and_quick(open_hall, look, hall_named):
    hall = open_hall(hall=hall_named(tuple(f"Stall {n}" for n in range(60))))
    page = look(hall)
    tall = page.locator(".spot text").first.bounding_box()
    assert tall["height"] >= 15

    def takes():
        begun = time.monotonic()
        hall.organiser.plays("Stall 59")
        page.get_by_text("60 Stall 59: Frost Bells").wait_for()
        taken = time.monotonic() - begun
        hall.organiser.at_stall("Stall 59", playing=None, stage="waiting")
        page.get_by_text("Nobody").wait_for()
        return taken

    assert best(takes) < 1.0


def test_the_minutes_that_are_left_go_down_by_themselves(open_hall, look):
    hall = open_hall()
    phone = look(hall)
    hall.organiser.quiet(10, "a speech")
    phone.get_by_text("10 min left").wait_for()
    hall.organiser.show(now=hall.organiser.view().now + timedelta(minutes=3))
    phone.get_by_text("7 min left").wait_for()
    phone.get_by_text("14:15", exact=True).wait_for()
