"""QR codes of addresses: a picture for pages, blocks for the terminal."""

from __future__ import annotations

import io
from functools import lru_cache


@lru_cache(4)
def code_picture(url: str) -> bytes:
    """The code as an SVG, black on white whatever is around it, so that every phone reads it."""
    import segno

    out = io.BytesIO()
    segno.make(url, error="m", micro=False).save(
        out, kind="svg", border=4, dark="#000", light="#fff", omitsize=True, xmldecl=False
    )
    return out.getvalue()


def code_lines(url: str) -> list[str]:
    """The code in half blocks, its quiet zone as well, for light letters on a dark ground.

    With dark letters on a light ground it is reversed, which not every phone reads.
    """
    import segno

    rows = [list(row) for row in segno.make(url, error="m", micro=False).matrix_iter(border=2)]
    if len(rows) % 2:
        rows.append([0] * len(rows[0]))
    blocks = {(0, 0): "█", (0, 1): "▀", (1, 0): "▄", (1, 1): " "}
    return [
        "".join(blocks[bool(above), bool(below)] for above, below in zip(upper, lower, strict=True))
        for upper, lower in zip(rows[::2], rows[1::2], strict=True)
    ]
