"""What can still be read of a damaged journal, and where the damaged files are kept.

A row is found by its own bytes, not by way of the pages that should lead to it, and is believed if
it bears its seal. So it does not matter which part of the file is gone. The layout of a row is
that of the SQLite file format (https://www.sqlite.org/fileformat2.html, sections 1.6, 2.1 and 4).
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
from pathlib import Path

from showtime.live.journal.codec import decode
from showtime.live.journal.journalfile import PAGE, Row, connect, insert, seal

_WAL_HEAD, _FRAME_HEAD = 32, 24
"""Bytes before the frames of a write-ahead log, and before the page in each of them."""

_ROW = re.compile(
    rb"(?=([\x06-\x08])\x00([\x01\x09])([\x0f-\x7f])([\x80-\xff]{0,2}[\x00-\x7f])([\x01-\x06]))",
    re.DOTALL,
)
"""The head of a row: its own length, then the types of number, version, kind, body and seal."""

_INTEGER_SIZES = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8, 9: 0}


def carve(main: bytes, log: bytes) -> dict[int, Row]:
    """The believable rows, by number, in the bytes of a journal and of its write-ahead log."""
    overflow = _Pages(main, log)
    found: dict[int, Row] = {}
    for data in (main, log):
        for head in _ROW.finditer(data):
            row = _row(data, head, overflow)
            if row is not None:
                found.setdefault(*row)
    return dict(sorted(found.items()))


def _row(data: bytes, head: re.Match[bytes], overflow: _Pages) -> tuple[int, Row] | None:
    length, version_type, kind_type, body_type, seal_type = head.groups()
    if length[0] != 5 + len(body_type):
        return None
    sizes = (
        _INTEGER_SIZES[version_type[0]],
        (kind_type[0] - 13) // 2,
        (_varint(body_type) - 13) // 2,
        _INTEGER_SIZES[seal_type[0]],
    )
    if sizes[2] < 0:
        return None
    payload = _payload(data, head.start(), length[0] + sum(sizes), overflow)
    parts, at = [], length[0]
    for size in sizes:
        parts.append(payload[at : at + size])
        at += size
    version = parts[0][0] if parts[0] else 1
    kind, body, sealed = parts[1].decode("latin-1"), parts[2], int.from_bytes(parts[3], signed=True)
    number = _number_before(data, head.start())
    row = version, kind, body
    if len(payload) < at or seal(number, row) != sealed or not _is_event(kind, body):
        return None
    return number, row


def _is_event(kind: str, body: bytes) -> bool:
    try:
        decode(kind, body)
    except ValueError:
        return False
    return True


def _varint(data: bytes) -> int:
    value = 0
    for byte in data:
        value = value << 7 | byte & 0x7F
    return value


def _number_before(data: bytes, end: int) -> int:
    """The row's number: the varint that ends there, whose last byte alone is below 0x80."""
    start = end - 1
    while start > 0 and data[start - 1] >= 0x80 and end - start < 9:
        start -= 1
    return _varint(data[max(start, 0) : end])


def _payload(data: bytes, start: int, length: int, overflow: _Pages) -> bytes:
    """A row's bytes, the long ones gathered from the pages that they run over to."""
    most, least = PAGE - 35, (PAGE - 12) * 32 // 255 - 23
    if length <= most:
        return data[start : start + length]
    here = least + (length - least) % (PAGE - 4)
    if here > most:
        here = least
    gathered = data[start : start + here]
    following = int.from_bytes(data[start + here : start + here + 4])
    while following and len(gathered) < length:
        page = overflow[following]
        gathered += page[4 : 4 + length - len(gathered)]
        following = int.from_bytes(page[:4])
        if not page:
            break
    return gathered


class _Pages:
    """The newest bytes of each page: those in the log before those in the file."""

    def __init__(self, main: bytes, log: bytes) -> None:
        self._main, self._log = main, log
        frames = range(_WAL_HEAD, len(log), _FRAME_HEAD + PAGE)
        self._in_log = {int.from_bytes(log[at : at + 4]): at + _FRAME_HEAD for at in frames}

    def __getitem__(self, number: int) -> bytes:
        if number in self._in_log:
            at = self._in_log[number]
            return self._log[at : at + PAGE]
        return self._main[(number - 1) * PAGE : number * PAGE]


def files(path: Path) -> tuple[Path, Path]:
    """The journal's file and that of its write-ahead log."""
    return path, path.with_name(path.name + "-wal")


def bytes_of(path: Path) -> tuple[bytes, bytes]:
    """What stands in the two files; nothing where there is none."""
    main, log = (file.read_bytes() if file.exists() else b"" for file in files(path))
    return main, log


def write_anew(path: Path, rows: list[Row], why: str) -> Path:
    """A fresh journal with `rows` in the place of the one at `path`, which is kept aside.

    A power cut in the midst of it loses nothing: `finish` ends what was begun. Returns where the
    old file is now.
    """
    fresh = path.with_name(path.name + ".fresh")
    _remove(fresh)
    db = connect(fresh)
    try:
        insert(db, 1, rows)
    finally:
        db.close()
    if files(fresh)[1].exists():  # what is in its log did not go into the file itself
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
    ready = _ready(path)
    fresh.replace(ready)
    _sync_folder(path)
    return finish(path, why)


def finish(path: Path, why: str = "damaged") -> Path:
    """Put the fresh journal that is ready in its place, the old one aside."""
    aside = put_aside(path, why)
    _ready(path).replace(path)
    _sync_folder(path)
    return aside


def put_aside(path: Path, why: str) -> Path:
    """Give the journal's files a name that tells `why`, and a number that no other bears."""
    numbers = iter(range(1, 1_000_000))
    aside = next(
        name
        for name in (path.with_name(f"{path.name}.{why}-{number}") for number in numbers)
        if not any(file.exists() for file in files(name))
    )
    main, log = files(path)
    if log.exists() and not log.stat().st_size:
        log.unlink()
    for file, kept in zip((main, log), files(aside), strict=True):
        if file.exists():
            file.replace(kept)
    path.with_name(path.name + "-shm").unlink(missing_ok=True)
    return aside


def is_unfinished(path: Path) -> bool:
    """True when a power cut came between making a fresh journal and putting it in its place."""
    return _ready(path).exists()


def _ready(path: Path) -> Path:
    return path.with_name(path.name + ".ready")


def _remove(fresh: Path) -> None:
    for file in (*files(fresh), fresh.with_name(fresh.name + "-shm")):
        file.unlink(missing_ok=True)


def _sync_folder(path: Path) -> None:
    folder = os.open(path.parent, os.O_RDONLY)
    with contextlib.suppress(OSError):  # some file systems cannot; the names are safe soon after
        os.fsync(folder)
    os.close(folder)
