"""The report's page in a real browser, by light and by night, on a desk and on a telephone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from showtime.faces.report import document, page
from showtime.live.account import account_in


@pytest.fixture
def file(saturday_lived: Any, tmp_path: Path) -> Path:
    """Two days side by side, the second of a stall whose names are long."""
    lived = saturday_lived
    day = lived.plan.day.date
    found = document(account_in(lived.stall, lived.clock.now(), day, lived.path))
    long = {**found, "performances": [{**found["performances"][0], "piece": "Frostglocken" * 12}]}
    written = tmp_path / "report.html"
    written.write_text(page([found, long]), "utf-8")
    return written


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("wide", [1280, 320])
def test_nothing_is_loaded_and_everybody_can_read_it(
    browser: Any, file: Path, scheme: str, wide: int
) -> None:
    from axe_playwright_python.sync_playwright import Axe

    context = browser.new_context(
        viewport={"width": wide, "height": 800}, color_scheme=scheme, offline=True, bypass_csp=True
    )
    opened = context.new_page()
    asked: list[str] = []
    opened.on("request", lambda request: asked.append(request.url))
    opened.goto(file.as_uri())
    assert asked == [file.as_uri()]
    assert opened.evaluate("document.documentElement.scrollWidth") <= wide
    dark = opened.eval_on_selector("body", "e => getComputedStyle(e).backgroundColor")
    assert (dark == "rgb(33, 27, 22)") is (scheme == "dark")
    found = Axe().run(opened).response["violations"]
    assert [(each["id"], each["nodes"][0]["html"][:200]) for each in found] == []
    context.close()


def test_the_page_says_that_nothing_may_run(browser: Any, file: Path) -> None:
    """Should a name ever slip through, the browser has been told to run nothing."""
    slipped = file.read_text("utf-8").replace("</main>", "<script>window.ran = 1</script></main>")
    file.write_text(slipped, "utf-8")
    opened = browser.new_page()
    opened.goto(file.as_uri())
    assert opened.evaluate("window.ran") is None
    opened.close()
