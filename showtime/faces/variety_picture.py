"""The audit as a picture: SVG written by hand, legible without colours and to a screen reader."""

from __future__ import annotations

from collections.abc import Iterator
from math import log10
from xml.sax.saxutils import escape, quoteattr

from showtime.faces.variety import Document, figure, name_of

# Paper and inks of a hand-printed bill; each ink has a contrast of 4.5 or more on the paper.
_PAPER, _INK, _FAINT, _RED, _GREEN = "#fbf5e6", "#2a211b", "#6b5d4f", "#a63a12", "#3f6b4f"
_SERIF = "Georgia, 'Iowan Old Style', 'Noto Serif', 'DejaVu Serif', serif"

_WIDTH, _MARGIN = 960, 40
_TOP, _ROW, _FOOT = 176, 40, 96
_BARS, _BARS_WIDE = 246, 300
_TURNS, _TURNS_WIDE, _TURNS_HIGH = 700, 220, 26


def picture(found: Document, figure_name: str) -> str:
    """The whole SVG document. `figure_name` is shown as text, whatever characters are in it."""
    rows = found["situations"]
    height = _TOP + _ROW * len(rows) + _FOOT
    title = f"What {_plain(figure_name)} can say ({found['language']})"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {height}" '
        f'width="{_WIDTH}" height="{height}" role="img" aria-labelledby="title words" '
        f'font-family="{_SERIF}" fill="{_INK}">',
        f'<title id="title">{escape(title)}</title>',
        f'<desc id="words">{escape(_in_words(rows))}</desc>',
        _HATCH,
        *_frame(height),
        *_heading(title),
        *_scale(rows),
        *(line for place, row in enumerate(rows) for line in _row(place, row, _decades(rows))),
        *_legend(_TOP + _ROW * len(rows) + 34),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


_HATCH = (
    '<defs><pattern id="lost" width="6" height="6" patternUnits="userSpaceOnUse" '
    f'patternTransform="rotate(45)"><rect width="6" height="6" fill="{_PAPER}"/>'
    f'<rect width="2.4" height="6" fill="{_GREEN}"/></pattern></defs>'
)


def _plain(text: str) -> str:
    """Without the control characters that XML cannot hold."""
    return "".join(sign if sign.isprintable() else " " for sign in text)


def _in_words(rows: list[Document]) -> str:
    """The picture for whoever hears it read."""
    return " ".join(_told(row) for row in rows)


def _told(row: Document) -> str:
    likely = row["repeat_after"]["likely"]
    return (
        f"{name_of(row)}: {figure(row['distinct'])} different sentences from "
        f"{row['templates']} templates, {figure(row['distinct_by_ear'])} by ear; "
        f"without memory one would come again after {figure(likely)} answers."
    )


def _frame(height: int) -> Iterator[str]:
    yield f'<rect width="{_WIDTH}" height="{height}" fill="{_PAPER}"/>'
    for inset, thick in ((14, 2.5), (20, 0.8)):
        yield (
            f'<rect x="{inset}" y="{inset}" width="{_WIDTH - 2 * inset}" '
            f'height="{height - 2 * inset}" fill="none" stroke="{_INK}" stroke-width="{thick}"/>'
        )


def _heading(title: str) -> Iterator[str]:
    middle = _WIDTH / 2
    room = f' textLength="{_WIDTH - 4 * _MARGIN}" lengthAdjust="spacingAndGlyphs"'
    yield _text(middle, 72, title, size=30, anchor="middle", more=room if len(title) > 52 else "")
    for side in (-1, 1):
        x = middle + side * 24
        yield (
            f'<path d="M{x:g} 94h{side * 150}" stroke="{_INK}" stroke-width="1"/>'
            f'<circle cx="{middle + side * 14:g}" cy="94" r="2" fill="{_RED}"/>'
        )
    yield f'<path d="M{middle:g} 88l6 6-6 6-6-6z" fill="{_RED}"/>'
    yield _text(_MARGIN, 132, "different sentences", size=15, ink=_FAINT, style="italic")
    yield _text(_TURNS, 132, "share of each template", size=15, ink=_FAINT, style="italic")


def _decades(rows: list[Document]) -> float:
    most = max((len(str(row["distinct"])) for row in rows), default=3)
    return float(max(3, most))


def _scale(rows: list[Document]) -> Iterator[str]:
    """A thin line for each power of ten, or for every few of them."""
    decades = _decades(rows)
    bottom = _TOP + _ROW * len(rows) - 8
    for power in range(0, int(decades) + 1, max(1, -(-int(decades) // 6))):
        x = _BARS + _BARS_WIDE * power / decades
        yield f'<path d="M{x:.1f} {_TOP - 14}V{bottom}" stroke="{_FAINT}" stroke-opacity=".35"/>'
        yield _text(x, _TOP - 20, _power(power), size=12, ink=_FAINT, anchor="middle")


def _power(power: int) -> str:
    return f"{10**power:,}" if power < 6 else f"10^{power}"


def _row(place: int, row: Document, decades: float) -> Iterator[str]:
    y = _TOP + _ROW * place

    def wide(number: int) -> float:
        return max(2.0, _BARS_WIDE * min(1.0, (log10(number) if number else 0) / decades))

    whole = wide(row["distinct"])
    ear = min(whole, wide(row["distinct_by_ear"] or row["distinct"]))
    yield f'<g role="img" aria-label={quoteattr(_told(row))}>'
    yield _text(_MARGIN, y + 14, name_of(row), size=15)
    yield f'<rect x="{_BARS}" y="{y}" width="{whole:.1f}" height="18" fill="url(#lost)"/>'
    yield f'<rect x="{_BARS}" y="{y}" width="{ear:.1f}" height="18" fill="{_GREEN}"/>'
    yield _text(_BARS + whole + 8, y + 14, figure(row["distinct"]), size=15)
    yield _text(_BARS + whole + 8, y + 28, _again(row), size=11, ink=_FAINT)
    yield from _turns(row, y)
    yield "</g>"


def _again(row: Document) -> str:
    likely = row["repeat_after"]["likely"]
    return f"again after {figure(likely)} by chance" if likely else ""


def _turns(row: Document, y: int) -> Iterator[str]:
    """A column for each template, twice an even share being as high as the row allows, and a short
    line where its weight would have it."""
    shares = row["shares"]
    each = min(14.0, _TURNS_WIDE / len(shares))
    floor = y + _TURNS_HIGH - 4

    def high(share: float) -> float:
        return _TURNS_HIGH * min(1.0, share * len(shares) / 2)

    yield f'<path d="M{_TURNS} {floor + 0.5:g}h{each * len(shares):.1f}" stroke="{_INK}"/>'
    for place, share in enumerate(shares):
        x, up = _TURNS + each * place, high(share["heard"])
        yield (
            f'<rect x="{x + each * 0.15:.1f}" y="{floor - up:.1f}" width="{each * 0.7:.1f}" '
            f'height="{up:.1f}" fill="{_RED}"/>'
        )
        weighed = floor - high(share["by_weight"])
        yield f'<path d="M{x:.1f} {weighed:.1f}h{each:.1f}" stroke="{_INK}" stroke-width="1"/>'


def _legend(y: int) -> Iterator[str]:
    signs = (
        (_MARGIN, f'fill="{_GREEN}"', "that differ to the ear"),
        (_BARS + 8, f'fill="url(#lost)" stroke="{_GREEN}"', "in small words or close sounds only"),
        (_TURNS, f'fill="{_RED}"', "heard"),
    )
    for x, look, words in signs:
        yield f'<rect x="{x}" y="{y - 11}" width="16" height="12" {look}/>'
        yield _text(x + 24, y, words, size=13)
    yield f'<path d="M{_TURNS + 84} {y - 5}h18" stroke="{_INK}" stroke-width="1.5"/>'
    yield _text(_TURNS + 110, y, "by its weight", size=13)


def _text(
    x: float,
    y: float,
    words: str,
    *,
    size: int,
    ink: str = _INK,
    anchor: str = "start",
    style: str = "normal",
    more: str = "",
) -> str:
    return (
        f'<text x="{x:.1f}" y="{y:g}" font-size="{size}" fill="{ink}" text-anchor="{anchor}" '
        f'font-style="{style}" paint-order="stroke" stroke="{_PAPER}" stroke-width="3"{more}>'
        f"{escape(words)}</text>"
    )
