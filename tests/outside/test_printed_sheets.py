"""The printed sheets against what is not ours.

QR code: read by ZXing-C++ (https://github.com/zxing-cpp/zxing-cpp), as ISO/IEC 18004 has it.
Paper: ISO 216, A4 210 x 297 mm, A5 148 x 210 mm (from memory). Levels at the neighbour: 20 lg(r) of
ISO 9613-2, the energy mean of ISO 1996-1 (from memory), here summed second by second. Parts of the
day: CLDR through Babel.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import replace
from datetime import datetime, timedelta
from math import log10

import pypdfium2
import pytest
import typst
import zxingcpp
from babel import Locale

from showtime.faces.paper import KINDS, LANGUAGES, Notice, labels, not_ours, notice
from showtime.fair import Plan, Stall

MILLIMETRES = {"A4": (210, 297), "A5": (148, 210)}


@pytest.mark.parametrize("size", ["A4", "A5"])
@pytest.mark.parametrize("kind", KINDS)
def test_sheets_have_the_size_of_the_paper(
    kind: str, size: str, tin_orchard: Stall, saturday_plan: Plan
) -> None:
    asked = Notice(tin_orchard, saturday_plan, labels("en", "en"), size)
    for page in pypdfium2.PdfDocument(notice(kind, asked)):
        wanted = [side / 25.4 * 72 for side in MILLIMETRES[size]]
        assert page.get_size() == pytest.approx(wanted, abs=1)


@pytest.mark.parametrize("size", ["A4", "A5"])
@pytest.mark.parametrize(
    "link",
    [
        "https://tin-orchard.example/",
        "http://192.168.4.1:8080/day?from=bill&x=ü#today",
        "https://tin-orchard.example/" + "long/" * 60,
    ],
)
def test_the_code_on_the_bill_leads_where_it_should(
    size: str, link: str, tin_orchard: Stall, saturday_plan: Plan
) -> None:
    asked = Notice(tin_orchard, saturday_plan, labels("en", "en"), size, link)
    (page,) = pypdfium2.PdfDocument(notice("bill", asked))
    picture = page.render(scale=300 / 72).to_pil()
    (code,) = zxingcpp.read_barcodes(picture)
    assert code.format == zxingcpp.BarcodeFormat.QRCode
    assert code.text == link


def second_by_second(plan: Plan, distance: float) -> dict[datetime, float]:
    """The mean level over the hour up to each second, from the levels alone."""
    opens = plan.day.hours.start
    seconds = plan.day.hours.length // timedelta(seconds=1)
    energy = [0.0] * seconds
    for each in plan.performances:
        assert each.piece.level_dba is not None
        there = each.piece.level_dba - 20 * log10(distance)
        first = (each.starts - opens) // timedelta(seconds=1)
        for second in range(first, first + each.piece.lasts // timedelta(seconds=1)):
            energy[second] += 10 ** (there / 10)
    means, total = {}, 0.0
    for second in range(seconds):
        total += energy[second] - (energy[second - 3600] if second >= 3600 else 0.0)
        if total > 1:
            means[opens + timedelta(seconds=second + 1)] = 10 * log10(total / 3600)
    return means


@pytest.mark.parametrize("distance", [3.0, 7.5, 20.0])
def test_the_levels_on_the_neighbours_sheet_are_the_standards(
    distance: float, tin_orchard: Stall, saturday_plan: Plan
) -> None:
    (cart,) = tin_orchard.neighbours
    stall = replace(tin_orchard, neighbours=(replace(cart, distance_m=distance),))
    pdf = notice("neighbours", Notice(stall, saturday_plan, labels("en", "en")))
    text = " ".join(
        " ".join(page.get_textpage().get_text_bounded().split())
        for page in pypdfium2.PdfDocument(pdf)
    )
    means = second_by_second(saturday_plan, distance)
    rows = re.findall(r"(\d\d:\d\d) \S+ \D+? ([\d.]+) dBA\s+([\d.]+) dBA", text)
    assert len(rows) == len(saturday_plan.performances)
    for (starts, during, hour), each in zip(rows, saturday_plan.performances, strict=True):
        assert starts == f"{saturday_plan.day.local(each.starts):%H:%M}"
        assert each.piece.level_dba is not None
        assert float(during) == pytest.approx(each.piece.level_dba - 20 * log10(distance), abs=0.06)
        assert float(hour) == pytest.approx(means[each.ends], abs=0.06)
    told = re.search(r"is estimated at ([\d.]+) dBA", text)
    assert told
    assert float(told[1]) == pytest.approx(max(means.values()), abs=0.06)


def drawn(sign: str) -> bytes:
    """The sign as the fonts that come with the typesetter draw it."""
    source = "#set page(width: 40pt, height: 40pt, margin: 4pt)\n"
    source += '#set text(size: 20pt, font: "Libertinus Serif")\n#sys.inputs.sign'
    made = typst.compile(
        source.encode(), format="png", ignore_system_fonts=True, sys_inputs={"sign": sign}, ppi=72
    )
    assert isinstance(made, bytes)
    return made


def test_the_signs_of_our_languages_are_in_the_fonts_and_others_are_named(full: bool) -> None:
    """Unicode's blocks; a sign that a font has not is drawn as the same box as any other such."""
    box = drawn("\u65e5")
    assert box == drawn("\uac00") == drawn("\u0e01")
    blocks = [(0x21, 0x180), (0x386, 0x400), (0x401, 0x500), (0x1E80, 0x1F00), (0x905, 0x93A)]
    signs = [chr(code) for first, last in blocks for code in range(first, last)]
    printed = [sign for sign in signs if unicodedata.category(sign)[0] in "LNPS"]
    for sign in printed if full else printed[::9]:
        assert drawn(sign) != box, hex(ord(sign))
        assert not not_ours(sign)
    assert not_ours("Tin \u65e5\u672c Orchard \U0001f3a0") == "\u65e5\u672c\U0001f3a0"


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_evening_begins_when_cldr_lets_it(language: str) -> None:
    rules = Locale.parse(language).day_period_rules[None]
    later = [
        span["from"] // 3600
        for name, spans in rules.items()
        for span in spans
        if name.startswith(("evening", "night")) and span.get("from", 0) > 12 * 3600
    ]  # the Spanish "tarde" of noon is CLDR's first evening, and our afternoon
    assert labels(language, "en").evening_from == min(later)
