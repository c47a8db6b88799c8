"""What the fonts that come with the program can print, and what only the computer's own may."""

from __future__ import annotations

import re

_NOT_OURS = re.compile(
    "[\u0700-\u08ff\u0980-\u109f\u10a0-\u1dff\u2e80-\ufaff\ufe30-\uffef\U00010000-\U0010ffff]"
)
"""Ours have Latin, Greek, Cyrillic, Armenian, Hebrew, Arabic and Devanagari; not the scripts of the
rest of Asia, and no emoji."""


def not_ours(text: str) -> str:
    """The signs of the text that are printed only if the computer has a font for them."""
    return "".join(sorted(set(_NOT_OURS.findall(text))))
