"""The printed sheet, read back by a PDF library that is not ours.

Reader: PDFium (https://pdfium.googlesource.com/pdfium/) through pypdfium2. A4 is 210 x 297 mm
(ISO 216, from memory), a point 1/72 inch.
"""

from __future__ import annotations

import pypdfium2
import pytest

from showtime.faces import recording
from showtime.fair import Stall
from showtime.wording import Bank, Kind, script_of, situations_of


@pytest.fixture(scope="module")
def document(english: Bank, tin_orchard: Stall) -> recording.Document:
    script = script_of(
        english, list(situations_of(tin_orchard)), kinds=[Kind.NEXT, Kind.CALL], worth=0.01
    )
    return recording.script(script, 'The "Tin" #Orchard\\ $1')


def test_every_line_stands_on_a_sheet_of_a4(document: recording.Document) -> None:
    sheet = pypdfium2.PdfDocument(recording.printed(document, ".pdf"))
    text = ""
    for page in sheet:
        assert page.get_size() == pytest.approx((210 / 25.4 * 72, 297 / 25.4 * 72), abs=1)
        text += page.get_textpage().get_text_bounded() + " "
    read = " ".join(text.replace("\u2019", "'").split())
    assert 'The "Tin" #Orchard\\ $1' in read.replace("\u201c", '"').replace("\u201d", '"')
    for each in document["fragments"]:
        shown = recording.shown(each["text"])
        assert f"{each['number']} {shown}" in read, shown


def test_the_text_is_read_back_by_the_program_itself(document: recording.Document) -> None:
    lines = recording.printed(document, ".txt").decode().splitlines()
    numbered = [line for line in lines if line.lstrip()[:1].isdigit() and ". " in line[:6]]
    assert len(numbered) == len(document["fragments"])
