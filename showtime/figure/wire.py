"""One line of the link: its words, its numbers and its check. Pure; PROTOCOL.md tells it in words.

    BOND NUMBER WORD ... CHECK

all in printable ASCII, one space between, a line feed at the end.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

LONGEST = 240
"""Bytes of a line, its end not counted. A longer one is no line."""

LAST_NUMBER = 9999
"""After it, numbers go on from 1. 0 stands for what is not acknowledged."""

_LINE = re.compile(rb"(0|[1-9]\d{0,4}) (0|[1-9]\d{0,3})((?: [!-~]+)+) ([0-9A-F]{4})", re.ASCII)
_PLAIN = re.compile(r"[^!-$&-~]")


@dataclass(frozen=True, slots=True)
class Line:
    """What one side says: `words` in the bond of that number, as its message of that `number`."""

    bond: int
    number: int
    words: tuple[str, ...]

    @property
    def verb(self) -> str:
        return self.words[0]


def crc(data: bytes) -> int:
    """CRC-16/IBM-3740: polynomial 0x1021, beginning with 0xFFFF, nothing reflected or inverted.

    Its check value, that of b"123456789", is 0x29B1 (Catalogue of Parametrised CRC Algorithms).
    """
    check = 0xFFFF
    for byte in data:
        check ^= byte << 8
        for _ in range(8):
            check = (check << 1) ^ 0x1021 if check & 0x8000 else check << 1
        check &= 0xFFFF
    return check


def written(line: Line) -> bytes:
    """The line as it goes over the wire. ValueError: it would be no line for whoever reads it."""
    text = f"{line.bond} {line.number} {' '.join(line.words)}"
    body = text.encode("ascii")
    whole = b"%s %04X" % (body, crc(body))
    if len(whole) > LONGEST or _LINE.fullmatch(whole) is None:
        raise ValueError(f"no line can say {text[:60]!r}")
    return whole + b"\n"


def read(raw: bytes) -> Line | None:
    """The line that `raw` (without its line feed) is; None when it is none, or is damaged."""
    if len(raw) > LONGEST + 1:
        return None
    found = _LINE.fullmatch(raw.removesuffix(b"\r"))
    if found is None:
        return None
    body, check = raw.removesuffix(b"\r")[:-5], int(found[4], 16)
    if crc(body) != check:
        return None
    bond, number = int(found[1]), int(found[2])
    if bond > 65535:
        return None
    return Line(bond, number, tuple(found[3].decode("ascii").split()))


class Splitter:
    """Cuts a stream of bytes into lines, and lets go of what is too long to be one."""

    def __init__(self) -> None:
        self._begun = bytearray()
        self._too_long = False

    def feed(self, data: bytes) -> Iterator[bytes]:
        """The lines that `data` completes, without their line feeds."""
        *ended, rest = data.split(b"\n")
        for part in ended:
            line, too_long = bytes(self._begun) + part, self._too_long
            self._begun.clear()
            self._too_long = False
            if not too_long and line:
                yield line
        self._begun += rest
        if len(self._begun) > LONGEST + 1:
            self._begun.clear()
            self._too_long = True

    def clear(self) -> None:
        """Forget a line that was begun: the stream is another one from here on."""
        self._begun.clear()
        self._too_long = False


def as_word(text: str, longest: int = 150) -> str:
    """Any text as one word: what is not plain becomes %XX, byte by byte in UTF-8 (RFC 3986, 2.1).

    A text that is empty becomes a lone hyphen; one that is too long loses its last letters.
    """
    if text == "-":
        return "%2D"
    word = ""
    for letter in text:
        coded = _PLAIN.sub(lambda found: "".join(f"%{b:02X}" for b in found[0].encode()), letter)
        if len(word) + len(coded) > longest:
            break
        word += coded
    return word or "-"


def as_text(word: str) -> str:
    """The text that a word stands for; what makes no sense in it stays as it is."""
    if word == "-":
        return ""
    raw = re.sub(rb"%([0-9A-F]{2})", lambda found: bytes([int(found[1], 16)]), word.encode())
    text = raw.decode("utf-8", "replace")
    return "".join(letter if letter.isprintable() else "?" for letter in text)
