"""The few marks that the report's pictures are drawn with: SVG by hand, coloured by classes.

A page colours the classes for light and dark; on paper the picture brings the colours along.
"""

from __future__ import annotations

from collections.abc import Iterable
from xml.sax.saxutils import escape

WIDE = 960

INKS = {
    "ink": ("#241d17", "#f3ead9"),
    "faint": ("#62574b", "#bdb09b"),
    "red": ("#a32a1e", "#ff9b83"),
    "green": ("#2f6048", "#8fcfae"),
    "band": ("#e6dcc6", "#453c33"),
}
"""Each with its colour on light and on dark paper; contrast at least 4.5, bands aside."""


def style(dark: bool = False) -> str:
    """The colours of the classes as CSS."""
    place = 1 if dark else 0
    return "".join(
        f".f-{name}{{fill:{colours[place]}}}.s-{name}{{stroke:{colours[place]};fill:none}}"
        for name, colours in INKS.items()
    )


def picture(title: str, told: str, high: float, marks: Iterable[str]) -> str:
    """An SVG element that a screen reader tells as `told`."""
    body = "".join(marks)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {high:g}" role="img" '
        f'aria-label="{_quoted(told)}" font-family="Libertinus Serif, Georgia, serif">'
        f"<title>{text_of(title)}</title>{body}</svg>"
    )


def text_of(words: str) -> str:
    """As text in XML, without the control characters that it cannot hold."""
    return escape("".join(sign if sign.isprintable() else " " for sign in words))


def _quoted(words: str) -> str:
    return text_of(words).replace('"', "&quot;")


def words(
    x: float, y: float, said: str, *, size: float = 16, ink: str = "ink", anchor: str = "start"
) -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}" text-anchor="{anchor}" '
        f'class="f-{ink}">{text_of(said)}</text>'
    )


def box(x: float, y: float, wide: float, high: float, ink: str) -> str:
    return (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{max(wide, 0):.1f}" height="{max(high, 0):.1f}" '
        f'class="f-{ink}"/>'
    )


def line(points: Iterable[tuple[float, float]], ink: str, thick: float = 1, dash: str = "") -> str:
    joined = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<polyline points="{joined}" class="s-{ink}" stroke-width="{thick:g}"{dashed}/>'


def diamond(x: float, y: float, size: float, ink: str) -> str:
    path = f"M{x:.1f} {y - size:.1f}l{size} {size}l{-size} {size}l{-size} {-size}z"
    return f'<path d="{path}" class="f-{ink}"/>'
