"""Files as text: what is no text, too large or not there becomes a problem."""

from __future__ import annotations

from pathlib import Path
from stat import S_ISDIR, S_ISREG

from showtime.fair import Where
from showtime.settings.problem import Problems

LARGEST_YAML = 1_000_000
LARGEST_CALENDAR = 4_000_000

_MARKS = {b"\xff\xfe": "UTF-16", b"\xfe\xff": "UTF-16"}


def read_text(path: Path, largest: int, where: Where, problems: Problems) -> str | None:
    """The text of a file in UTF-8, with or without its mark; line ends as they are.

    `largest` is in bytes and is looked at before anything is read. None when it cannot be had:
    a problem at `where` tells why a file is not there, one inside the file what it holds.
    """
    try:
        mode, size = (about := path.stat()).st_mode, about.st_size
        content = b""
        if S_ISREG(mode) and size <= largest:
            with path.open("rb") as file:
                content = file.read(largest + 1)
    except FileNotFoundError:
        problems.add(where, f"there is no file {path}; look at its name and its folder")
        return None
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        problems.add(where, f"{path} cannot be read ({reason}); see to its name and its rights")
        return None
    refused = _refused(mode, max(size, len(content)), largest)
    if refused:
        problems.add(where, f"{path} {refused}")
        return None
    return _decoded(content, str(path), problems)


def _refused(mode: int, size: int, largest: int) -> str:
    """What a file is that is not read, by what the system says of it; empty for one that is."""
    if S_ISDIR(mode):
        return "is a folder; name a file in it"
    if not S_ISREG(mode):
        return "is no ordinary file; name one that is"
    if size > largest:
        return (
            f"is {size / 1e6:.1f} MB large; settings and calendars are text of at most"
            f" {largest / 1e6:g} MB"
        )
    return ""


def _decoded(content: bytes, file: str, problems: Problems) -> str | None:
    if content[:2] in _MARKS:
        problems.add(Where(file, 1, 1), f"this is {_MARKS[content[:2]]}; save it as UTF-8")
        return None
    if b"\0" in content:
        problems.add(Where(file, 1, 1), "this is no text but a binary file; give a text file")
        return None
    try:
        return content.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        before = content[: error.start].decode("utf-8").replace("\r\n", "\n").replace("\r", "\n")
        place = Where(file, before.count("\n") + 1, len(before) - before.rfind("\n"))
        problems.add(
            place,
            f"the byte {content[error.start]:#04x} is no UTF-8, the file may be in another"
            " encoding; save it as UTF-8",
        )
        return None
