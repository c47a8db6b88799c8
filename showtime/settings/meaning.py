"""What an unquoted value means: the core schema of YAML 1.2.2, section 10.3.2.

Unlike in YAML 1.1, `10:30` and `no` are words and `010` is ten.
"""

from __future__ import annotations

import re

_NULL = frozenset({"", "~", "null", "Null", "NULL"})
_TRUE = frozenset({"true", "True", "TRUE"})
_FALSE = frozenset({"false", "False", "FALSE"})
_WHOLE = re.compile(r"[-+]?[0-9]{1,300}")
_OCTAL = re.compile(r"0o[0-7]{1,300}")
_HEX = re.compile(r"0x[0-9a-fA-F]{1,300}")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_ENDLESS = re.compile(r"[-+]?\.(inf|Inf|INF)")
_NOT_A_NUMBER = frozenset({".nan", ".NaN", ".NAN"})


def meaning(text: str) -> str | int | float | bool | None:
    """The value of an unquoted scalar."""
    if text in _NULL:
        return None
    if text in _TRUE or text in _FALSE:
        return text in _TRUE
    return text if text[0] not in "+-.0123456789" else _number(text)


def _number(text: str) -> str | int | float:
    if _WHOLE.fullmatch(text):
        return int(text)
    if _OCTAL.fullmatch(text):
        return int(text[2:], 8)
    if _HEX.fullmatch(text):
        return int(text[2:], 16)
    if _FLOAT.fullmatch(text):
        return float(text)
    if _ENDLESS.fullmatch(text):
        return float(text.lower().replace(".", "", 1))
    return float("nan") if text in _NOT_A_NUMBER else text
