"""Names of files from the names of stalls, which may be anything."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence

_LONGEST = 48
"""Signs; each may take four bytes, and most file systems end a name at 255."""

_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)$", re.I)
"""Names that one system keeps for its devices, whatever their ending."""


def file_names(stalls: Sequence[str]) -> tuple[str, ...]:
    """For each stall a name that any file system takes, without ending; no two are the same.

    Letters, marks and digits of every script stay; what is left of the rest is a hyphen. Names
    that differ only in capitals, or in how accents are written, are told apart by a number.
    """
    taken: set[str] = set()
    found = []
    for stall in stalls:
        plain = _plain(stall)
        name, again = plain, 1
        while _folded(name) in taken:
            again += 1
            name = f"{plain}-{again}"
        taken.add(_folded(name))
        found.append(name)
    return tuple(found)


def _plain(stall: str) -> str:
    signs = "".join(_kept(unicodedata.normalize("NFC", stall)))
    name = re.sub(r"-{2,}", "-", signs).strip("-")[:_LONGEST].strip("-") or "stall"
    return f"stall-{name}" if _DEVICES.match(name) else name


def _kept(text: str) -> Iterable[str]:
    for sign in text:
        if sign in "'’":
            continue
        yield sign if unicodedata.category(sign)[0] in "LMN" else "-"


def _folded(name: str) -> str:
    return unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", name).casefold())
