"""From what stands on a sheet to the printed page: typst, with the fonts that it brings along."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from showtime.faces.paper.fonts import not_ours

_THERE = Path(__file__).parent

_UNDATED = int(datetime(2000, 1, 1, tzinfo=UTC).timestamp())
"""A sheet does not say when it was made, so that the same day makes the same bytes."""


def pressed(form: str, sheet: dict[str, Any]) -> bytes:
    """The PDF of `sheet` in the form of that name. Everything in `sheet` is shown as text.

    The computer's own fonts are looked at only for signs that ours have not.
    """
    import typst

    source = "".join((_THERE / f"{name}.typ").read_text("utf-8") for name in ("common", form))
    told = json.dumps(sheet, ensure_ascii=False)
    made = typst.compile(
        source.encode(),
        format="pdf",
        ignore_system_fonts=not not_ours(told),
        sys_inputs={"sheet": told},
        timestamp=_UNDATED,
    )
    assert isinstance(made, bytes)
    return made
