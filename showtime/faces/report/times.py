"""Moments of the report as people read them."""

from __future__ import annotations

from typing import Any


def hhmm(found: dict[str, Any], iso: str | None, *, seconds: bool = False) -> str:
    """The wall clock's time; on a day on which the clocks change, with its distance from UTC."""
    if iso is None:
        return ""
    shown = iso[11:19] if seconds else iso[11:16]
    changes = found["opens"][-6:] != found["closes"][-6:]
    return f"{shown} {iso[-6:]}" if changes else shown
