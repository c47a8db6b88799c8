"""Words made safe for a synthesiser."""

from __future__ import annotations

import unicodedata

LONGEST = 500
"""Characters of one utterance, about half a minute; more would hold up every other one."""

_MARKUP = str.maketrans({"<": " ", ">": " ", "[": " ", "]": " ", "{": " ", "}": " "})


def spoken_text(text: str) -> str:
    """`text` as one line of plain words, at most `LONGEST` characters, cut between words.

    Control characters, lone surrogates and brackets that a synthesiser might take for markup
    become spaces: what stands between them is still spoken.
    """
    plain = "".join(
        " " if unicodedata.category(letter) in {"Cc", "Cs", "Co", "Cn"} else letter
        for letter in text[: LONGEST * 4].translate(_MARKUP)
    )
    line = " ".join(plain.split())
    if len(line) <= LONGEST:
        return line
    return line[: LONGEST + 1].rpartition(" ")[0] or line[:LONGEST]


def speakable(line: str) -> bool:
    """True when there is a letter, a digit or a symbol to be read out, not punctuation alone."""
    return any(unicodedata.category(letter)[0] in "LNS" for letter in line)
