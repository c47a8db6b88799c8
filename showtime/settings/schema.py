"""JSON Schema for editors, from the same models that the reading uses."""

from __future__ import annotations

from typing import Any

from showtime.settings.fairfile import FairFile
from showtime.settings.model import group_schema
from showtime.settings.stallfile import StallFile


def json_schema(*, fair: bool = False) -> dict[str, Any]:
    """What a stall's settings may hold, or a fair's, as a JSON Schema (draft 2020-12)."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "The settings of a fair" if fair else "The settings of a stall",
        **group_schema(FairFile if fair else StallFile),
    }
