"""Names with lengths, as people type them: `Frost Bells 4:30, The Pear Dance 7 min`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import timedelta

from showtime.settings.newstall.typed_times import LENGTH, alike, apart, in_figures, length_of
from showtime.settings.newstall.values import AnswerError, NewPiece
from showtime.settings.quantity import DAY, plain

_DECIMAL = re.compile(r"(?<![\d:])(\d+),(\d+)(?=\s?(?:min|m\b|h\b|s\b|sec))", re.IGNORECASE)
_ENDS_IN_LENGTH = re.compile(rf"[\s:(=\-]*(?P<lasts>{LENGTH})[\s).]*$", re.IGNORECASE)
_BEGINS_WITH_LENGTH = re.compile(
    rf"^(?P<lasts>{LENGTH})[\s):=\-]+(?:(?:for|of)\s+)?(?=[^\W\d])", re.IGNORECASE
)
_STRETCH = re.compile(r"\d+[\d:.]*-\d[\d:.]*")
_UNCLEAR = re.compile(r"(\d+)\.(\d\d)")
_ABOUT = re.compile(r"(?:\s+(?:about|approx|ca|circa|lasts|takes|is|for)\b\.?|\s*[~\u2248])+$")
_EDGES = " .,;:()=-"
_SUCH = "write one such as Frost Bells 4:30"


def pieces(text: str) -> tuple[NewPiece, ...]:
    """Names with lengths, several with commas between them."""
    found: list[NewPiece] = []
    waiting = ""
    for chunk in apart(_in_figures(alike(text)), _ENDS_IN_LENGTH):
        name, length = _name_and_length(chunk)
        if waiting and name:
            raise AnswerError(_no_length(waiting))
        name = name or waiting
        if not name:
            raise AnswerError(f"'{chunk}' has no name; {_SUCH}")
        waiting = "" if length is not None else name
        if length is not None:
            found.append(_sound(NewPiece(name, length), found))
    if waiting:
        raise AnswerError(_no_length(waiting))
    if not found:
        raise AnswerError(f"this names no piece; {_SUCH}")
    return tuple(found)


def _in_figures(text: str) -> str:
    """`4.5 min` for `4,5 min`, for `four and a half minutes` too."""
    text = in_figures(text, r"(?:\s+and\s+a\s+half)?\s+(?:min|h(?:ou)?r|sec)")
    text = re.sub(r"(\d)\s+and\s+a\s+half(?=\s+(?:min|h(?:ou)?r|sec))", "\\1\u00bd", text)
    return _DECIMAL.sub(r"\1.\2", text)


def _no_length(name: str) -> str:
    return f"how long is {name[:60]}? write its length too: {name[:60]} 4:30"


def _sound(piece: NewPiece, others: Sequence[NewPiece]) -> NewPiece:
    if not timedelta(0) < piece.lasts <= DAY:
        raise AnswerError(f"{piece.name} cannot last {plain(piece.lasts)}; {_SUCH}")
    if piece.name in (other.name for other in others):
        raise AnswerError(f"{piece.name} is here twice; rename one")
    return piece


def _name_and_length(chunk: str) -> tuple[str, timedelta | None]:
    found = _ENDS_IN_LENGTH.search(chunk)
    if found:
        stretch = _STRETCH.search(chunk)
        if stretch and stretch.end() > found.start("lasts"):
            raise AnswerError(f"'{stretch[0]}' is no length; {_SUCH}")
        return _name(chunk[: found.start()]), _length(found["lasts"])
    found = _BEGINS_WITH_LENGTH.search(chunk)
    if found:
        return _name(chunk[found.end() :]), _length(found["lasts"])
    return _name(chunk), None


def _name(text: str) -> str:
    return _ABOUT.sub("", text.strip(_EDGES)).strip(_EDGES)


def _length(text: str) -> timedelta:
    unclear = _UNCLEAR.fullmatch(text.strip())
    if unclear:
        raise AnswerError(
            f"'{text}' may be {unclear[1]}:{unclear[2]} or {float(text):g} min; write which"
        )
    return length_of(text)
