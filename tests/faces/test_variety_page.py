"""The audit of a phrase bank as the maker sees it: a page, and a picture."""

import io
import re
from datetime import timedelta
from pathlib import Path
from random import Random
from typing import Any
from xml.etree import ElementTree

import pytest
from rich.console import Console

from showtime.faces import variety
from showtime.faces.variety_page import WIDTH, Page
from showtime.faces.variety_picture import picture
from showtime.fair import Stall
from showtime.live import Desk
from showtime.settings import shipped
from showtime.wording import Bank, Kind, Situation, audit, parse_bank

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def found(english: Bank) -> dict[str, Any]:
    desk = Desk.of(shipped("config/tin-orchard.yaml"))
    return variety.judged(desk, english, "14:30", 1)


def printed(found: dict[str, Any], *, encoding: str = "utf-8", columns: int = 100) -> str:
    class Paper(io.StringIO):
        @property
        def encoding(self) -> str:
            return encoding

    paper = Paper()
    Console(file=paper, width=columns, no_color=True, highlight=False).print(Page(found, False))
    return paper.getvalue()


def test_every_situation_is_on_the_page(found: dict[str, Any]) -> None:
    page = printed(found)
    for row in found["situations"]:
        assert page.count(variety.name_of(row)) >= 3
        assert variety.figure(row["distinct"]) in page
    assert "by ear too" in page


def test_what_may_be_mended_is_told_with_its_place(found: dict[str, Any]) -> None:
    words = [{"word": f"shh{n}", "why": "spelt out", "where": f"b.yaml:{n}:7"} for n in range(40)]
    page = printed(found | {"mispronounced": words, "never_reached": ["b.yaml:3:3: idle"]})
    assert "  b.yaml:0:7: shh0: spelt out" in page
    assert "  b.yaml:3:3: idle" in page
    assert "and 28 more" in page


@pytest.mark.parametrize("columns", [40, 80, 200])
def test_no_line_is_wider_than_eighty_columns(found: dict[str, Any], columns: int) -> None:
    assert max(map(len, printed(found, columns=columns).splitlines())) <= WIDTH


def test_a_terminal_without_block_signs_gets_plain_ones(found: dict[str, Any]) -> None:
    assert printed(found, encoding="ascii").isascii()


def test_a_page_without_colours_has_none(found: dict[str, Any]) -> None:
    assert "\x1b" not in printed(found)


def test_counts_are_short_and_keep_their_size() -> None:
    shown = [62_124, 999_999, 1_300_000, 10**30, 7, None]
    assert [variety.figure(each) for each in shown] == [
        "62,124", "999,999", "1.3 million", "10^30", "7", "?",
    ]  # fmt: skip


def test_the_picture_is_told_in_words_too(found: dict[str, Any]) -> None:
    tree = ElementTree.fromstring(picture(found, "Barnaby Rook"))
    assert tree.get("role") == "img"
    named = (tree.get("aria-labelledby") or "").split()
    told = " ".join(each.text or "" for each in tree if each.get("id") in named)
    assert "What Barnaby Rook can say" in told
    for row in found["situations"]:
        assert f"{row['distinct']:,} different sentences" in told
    labels = [each.get("aria-label") for each in tree.iter(f"{SVG}g")]
    assert len(labels) == len(found["situations"]) and all(labels)


def test_nothing_of_the_picture_lies_outside_its_frame(found: dict[str, Any]) -> None:
    tree = ElementTree.fromstring(picture(found, "Barnaby Rook"))
    _, _, width, height = map(float, (tree.get("viewBox") or "").split())
    for box in tree.iter(f"{SVG}rect"):
        x, y = float(box.get("x", 0)), float(box.get("y", 0))
        assert x >= 0 and x + float(box.get("width", 0)) <= width
        assert y >= 0 and y + float(box.get("height", 0)) <= height


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_every_ink_stands_out_from_the_paper(found: dict[str, Any]) -> None:
    """WCAG 2.2, success criterion 1.4.3: text has a contrast of at least 4.5 to 1."""
    drawn = picture(found, "Barnaby Rook")
    inks = set(re.findall(r'fill="(#[0-9a-f]{6})"', drawn))
    paper = max(inks, key=luminance)
    for ink in inks - {paper}:
        assert (luminance(paper) + 0.05) / (luminance(ink) + 0.05) >= 4.5, ink


@pytest.mark.parametrize("name", ['<b>&"Rook"</b>', "R\x07o\x00ok", "\u05e9\u05dc", "x" * 200])
def test_a_name_of_any_letters_is_text(found: dict[str, Any], name: str) -> None:
    tree = ElementTree.fromstring(picture(found, name))
    title = next(each.text for each in tree if each.get("id") == "title")
    assert title is not None
    assert title.startswith("What ")


def test_more_sentences_than_anyone_could_list_fit_the_page_and_the_picture(
    english: Bank, tin_orchard: Stall
) -> None:
    text = Path(__file__).parents[2].joinpath("phrasebanks/en.yaml").read_text("utf-8")
    digit = "(zero | uno | due | tre | quattro | cinque | sei | sette | otto | nove) "
    bank = parse_bank(text.replace("  late:\n", f"  late:\n    - '{digit * 30}'\n"), "en.yaml")
    now = tin_orchard.days[0].hours.start
    late = Situation(Kind.LATE, now, tin_orchard.signboard)
    soon = Situation(Kind.SOON, now, tin_orchard.signboard, at=now + timedelta(minutes=2))
    found = variety.document(audit(bank, [late, soon], (), 170, Random(1)), bank)
    assert found["situations"][0]["distinct"] > 10**30
    assert "10^30" in printed(found)
    assert "10^30" in picture(found, "Barnaby Rook")


def test_a_picture_that_cannot_be_written_is_told(found: dict[str, Any], tmp_path: Path) -> None:
    variety.draw(found, "Barnaby Rook", tmp_path / "words.svg")
    assert (tmp_path / "words.svg").read_text("utf-8").startswith("<svg")
    with pytest.raises(variety.PictureError, match="cannot write the picture"):
        variety.draw(found, "Barnaby Rook", tmp_path / "none" / "words.svg")
