"""Takes the pictures: of pages and terminals through a browser, of paper without one."""

from __future__ import annotations

import io
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from showtime.faces.pages import PinFile, open_pages
from tests.pictures.demo import Demo
from tests.pictures.shown import GROUND, INK, PICTURES

PIN = "482915"
PHONE, ON_ITS_SIDE, DESK = (390, 844), (1024, 640), (1000, 830)

TERMINAL = f"""<!doctype html><meta charset="utf-8"><style>
body {{{{ margin: 0; background: {GROUND}; color: {INK} }}}}
pre {{{{ display: inline-block; margin: 0; padding: 14px 18px;
  font: 15px/1.25 "DejaVu Sans Mono", monospace }}}}
</style><pre>{{code}}</pre>"""


def keep(png: bytes, file: Path) -> None:
    """In 128 inks, which is enough for printed looks and a third of the size."""
    from PIL import Image

    picture = Image.open(io.BytesIO(png)).convert("RGB")
    picture.quantize(128, dither=Image.Dither.NONE).save(file, optimize=True)


def from_paper(demo: Demo, kind: str) -> bytes:
    import pypdfium2

    out = io.BytesIO()
    with pypdfium2.PdfDocument(demo.sheet(kind)) as pdf:
        pdf[0].render(scale=1.2).to_pil().save(out, "PNG")
    return out.getvalue()


@contextmanager
def a_browser() -> Iterator[Any]:
    """A chromium, or None where there is none."""
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        yield None
        return
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield opened
        opened.close()


class Camera:
    """Takes pictures of pages; the same size and light each time."""

    def __init__(self, browser: Any) -> None:
        self._browser = browser

    def look(self, size: tuple[int, int], scheme: str = "light") -> Any:
        width, height = size
        return self._browser.new_page(
            viewport={"width": width, "height": height},
            color_scheme=scheme,
            reduced_motion="reduce",
            locale="en-GB",
        )

    def terminal(self, console: Any) -> bytes:
        from rich.terminal_theme import MONOKAI

        seen = self.look(DESK, "dark")
        html = console.export_html(theme=MONOKAI, code_format=TERMINAL, inline_styles=True)
        seen.set_content(html)
        return bytes(seen.locator("pre").screenshot())

    def report(self, html: str) -> bytes:
        seen = self.look(DESK)
        seen.set_content(html)
        seen.evaluate("document.querySelectorAll('h2')[1].scrollIntoView()")  # where pictures begin
        return bytes(seen.screenshot())

    def board(self, url: str, size: tuple[int, int], scheme: str) -> bytes:
        seen = self.look(size, scheme)
        seen.goto(url)
        seen.wait_for_selector("#bill[data-shown]")
        return bytes(seen.screenshot())

    def remote(self, url: str) -> bytes:
        seen = self.look(PHONE)
        seen.goto(f"{url}keeper")
        seen.fill("input[name=pin]", PIN)
        seen.press("input[name=pin]", "Enter")
        seen.wait_for_selector("#now")
        return bytes(seen.screenshot())


def from_browser(demo: Demo, browser: Any) -> dict[str, bytes]:
    """The pictures that need one."""
    camera = Camera(browser)
    taken = {p.name: camera.terminal(p.console(demo)) for p in PICTURES if p.console}
    taken["report"] = camera.report(demo.report)
    with tempfile.TemporaryDirectory() as folder:
        pin = PinFile(Path(folder) / "keeper.pin")
        pin.set(PIN)
        pages = open_pages(demo.house, 0, pin=pin)
        try:
            url = pages.where.url
            taken["board"] = camera.board(url, PHONE, "light")
            taken["board-wide"] = camera.board(url, ON_ITS_SIDE, "dark")
            taken["remote"] = camera.remote(url)
        finally:
            pages.close()
    return taken
