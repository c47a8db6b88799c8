"""The organiser's pages in a real browser: by light and by night, on a desk and on a telephone."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from showtime.faces.hall import Joint, papers

NOW = datetime(2027, 2, 12, 20, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def folder(eight: Joint, odd: Joint, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's papers, and beneath `odd` those of stalls with names that want to be more."""
    made = tmp_path_factory.mktemp("hall")
    for joint, below in ((eight, made), (odd, made / "odd")):
        for file, content in papers(joint, below, NOW).items():
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(content)
    return made


@pytest.fixture
def opened(browser: Any, folder: Path) -> Callable[..., Any]:
    """A page of the folder, offline."""

    def page(name: str, **settings: Any) -> Any:
        wide = settings.pop("wide", 1280)
        context = browser.new_context(
            viewport={"width": wide, "height": 800}, offline=True, **settings
        )
        found = context.new_page()
        found.goto((folder / name).as_uri())
        return found

    return page


@pytest.mark.parametrize(
    ("name", "scheme", "wide"),
    [
        ("hall.html", "light", 1280),
        ("hall.html", "dark", 360),
        ("timetable.html", "light", 360),
        ("timetable.html", "dark", 1280),
        ("odd/hall.html", "light", 360),
    ],
)
def test_nothing_is_loaded_and_everybody_can_use_it(
    browser: Any, folder: Path, name: str, scheme: str, wide: int
) -> None:
    """axe-core holds the page against WCAG 2.2."""
    from axe_playwright_python.sync_playwright import Axe

    context = browser.new_context(
        viewport={"width": wide, "height": 800}, color_scheme=scheme, offline=True, bypass_csp=True
    )
    page = context.new_page()
    asked: list[str] = []
    faults: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("pageerror", lambda fault: faults.append(str(fault)))
    file = (folder / name).as_uri()
    page.goto(file)
    assert asked == [file] and faults == []
    assert page.evaluate("document.documentElement.scrollWidth") <= wide
    dark = page.eval_on_selector("body", "e => getComputedStyle(e).backgroundColor")
    assert (dark == "rgb(33, 27, 22)") is (scheme == "dark")
    found = Axe().run(page).response["violations"]
    assert [(each["id"], each["nodes"][0]["html"][:200]) for each in found] == []
    context.close()


def test_the_arrow_keys_go_through_the_day_minute_by_minute(
    opened: Callable[..., Any], eight: Joint
) -> None:
    page = opened("hall.html")
    slide = page.locator("#slide")
    slide.focus()
    first = eight.by_time[0][0]
    for minutes in range(12):
        now = first.timestamp() + 60 * minutes
        sounding = {
            f"{number + 1} {eight.hall.names[number]}"
            for number, each in eight.in_order()
            if each.starts.timestamp() <= now < each.ends.timestamp()
        }
        lit = page.eval_on_selector_all(
            ".stand.on", "marks => marks.map(mark => mark.getAttribute('aria-label'))"
        )
        assert set(lit) == sounding
        told = slide.get_attribute("aria-valuetext")
        shown = datetime.fromtimestamp(now, eight.hall.timezone)
        assert told.startswith(f"{shown:%H:%M}: ")
        assert all(name in told for name in sounding)
        assert page.locator("#shown").inner_text() == f"{shown:%H:%M}"
        page.keyboard.press("ArrowRight")
    page.context.close()


def test_the_mouse_draws_the_time_along_and_the_line_follows(opened: Callable[..., Any]) -> None:
    page = opened("hall.html")
    box = page.locator("#slide").bounding_box()
    page.mouse.move(box["x"] + 10, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2, steps=5)
    page.mouse.up()
    hour, minute = map(int, page.locator("#shown").inner_text().split(":"))
    assert abs(hour * 60 + minute - 13.5 * 60) < 15
    moved = page.eval_on_selector(".hand", "e => e.getBoundingClientRect().left")
    lanes = page.eval_on_selector(
        "svg:has(.hand)", "e => [e.getBoundingClientRect().left, e.getBoundingClientRect().width]"
    )
    share = (hour * 60 + minute - 600) / 420
    assert (moved - lanes[0]) / lanes[1] == pytest.approx((236 + 700 * share) / 960, abs=0.01)
    page.context.close()


def test_the_buttons_go_from_start_to_start_and_are_told_aloud(
    opened: Callable[..., Any], eight: Joint
) -> None:
    page = opened("hall.html")
    starts = [f"{eight.hall.local(moment):%H:%M}" for moment, _ in eight.by_time]
    assert page.locator("#shown").inner_text() == starts[0]
    for expected in starts[1:6]:
        page.get_by_role("button", name="Start after").click()
        assert page.locator("#shown").inner_text() == expected
        assert page.locator("#told").inner_text().startswith(expected)
    page.get_by_role("button", name="Start before").click()
    assert page.locator("#shown").inner_text() == starts[4]
    page.context.close()


def test_without_scripts_it_is_a_timetable(opened: Callable[..., Any], eight: Joint) -> None:
    page = opened("hall.html", java_script_enabled=False)
    assert not page.locator("#slide").is_visible()
    words = page.locator("main").inner_text()
    for number, each in eight.in_order():
        assert f"{eight.hall.local(each.starts):%H:%M}" in words
        assert eight.hall.names[number] in words
    assert page.locator(".stand").count() == 8
    page.context.close()


def test_a_stalls_mark_leads_to_who_stands_in_its_way(opened: Callable[..., Any]) -> None:
    page = opened("hall.html")
    mark = page.get_by_role("link", name="3 The Paper Menagerie").first
    mark.hover()
    bonds = page.eval_on_selector_all(".bond.near", "them => them.map(each => each.dataset.of)")
    assert sorted(bonds) == ["1 2", "2 3"]
    mark.click()
    assert page.url.endswith("#stall-3")
    there = page.locator("#stall-3")
    assert there.evaluate("e => Math.abs(e.getBoundingClientRect().top) < 400")
    table = there.get_by_role("table").inner_text()
    assert "The Lantern Cart" in table and "The Kettle Choir" in table
    assert "The Tin Orchard" not in table
    page.context.close()


def test_the_browser_is_told_to_run_nothing_but_our_own_script(
    browser: Any, folder: Path, tmp_path: Path
) -> None:
    text = (folder / "odd" / "hall.html").read_text("utf-8")
    slipped = tmp_path / "slipped.html"
    slipped.write_text(text.replace("</main>", "<script>window.ran = 1</script></main>"), "utf-8")
    page = browser.new_page()
    page.goto(slipped.as_uri())
    assert page.evaluate("window.ran") is None
    assert page.locator("#slide").is_visible()
    page.close()


def test_on_paper_the_slider_is_gone_and_what_was_folded_is_open(
    opened: Callable[..., Any],
) -> None:
    page = opened("hall.html", color_scheme="dark")
    page.emulate_media(media="print", color_scheme="dark")
    assert not page.locator("#slide").is_visible()
    assert page.locator("#stall-3 .silent li").first.is_visible()
    ink = page.eval_on_selector("body", "e => getComputedStyle(e).color")
    assert ink == "rgb(36, 29, 23)"
    page.context.close()
