"""A pack's files in their folder. The manifest is taken away first and put back last, so that a
half-written pack has none."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path
from zlib import crc32

from showtime.figure.pack_windows import PackError

MANIFEST = "MANIFEST.CSV"
BEGUN = "UNDONE.TXT"
"""There while a pack is being written: the folder's other files are then those of a pack, too."""

FOLDERS = ("CLIPS", "WORDS", "KIT")
FILES = (
    *("README.TXT", "PACK.CSV", "PLAN.CSV", "PIECES.CSV", "QUIET.CSV", "CALLS.CSV"),
    *("ANSWERS.CSV", "CLIPS.CSV"),
)

_HEAD = "file,bytes,crc32"
_BEGUN_TEXT = b"This pack was not written to its end. Write it again: showtime pack FOLDER\r\n"


def manifest(files: Mapping[str, bytes]) -> bytes:
    """Every file with its length and CRC, and at the end how many there are, and a CRC of that."""
    lines = [_HEAD]
    lines += [f"{name},{len(body)},{crc32(body):08X}" for name, body in sorted(files.items())]
    whole = "".join(f"{line}\r\n" for line in lines).encode()
    return whole + f"END,{len(files)},{crc32(whole):08X}\r\n".encode()


def write(folder: Path, files: Mapping[str, bytes]) -> int:
    """Writes the pack in place of any that is there; how many bytes it takes.

    Other files in the folder, as on a card, are left alone. PackError: it cannot be written, or the
    folder has files of other people's making where the pack's would go.
    """
    _must_be_ours(folder)
    listed = manifest(files)
    size = sum(map(len, files.values())) + len(listed)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _must_have_room(folder, size)
        _write(folder / BEGUN, _BEGUN_TEXT)
        (folder / MANIFEST).unlink(missing_ok=True)
        _settle(folder)
        _clear(folder)
        for name, body in files.items():
            file = folder / name
            file.parent.mkdir(parents=True, exist_ok=True)
            _write(file, body)
        _write(folder / "MANIFEST.NEW", listed)
        (folder / "MANIFEST.NEW").replace(folder / MANIFEST)
        (folder / BEGUN).unlink()
        _settle(folder)
    except OSError as cause:
        why = (cause.strerror or str(cause)).lower()
        raise PackError(
            f"{folder}: the pack cannot be written there ({why}); take another folder or card"
        ) from cause
    return size


def there(folder: Path) -> Iterator[str]:
    """The names of a pack's files that are there, as the manifest names them, but itself; without
    hidden ones, which some systems put on every card."""
    for name in FILES:
        if (folder / name).is_file():
            yield name
    for name in FOLDERS:
        for file in sorted((folder / name).rglob("*")):
            if file.is_file() and not file.name.startswith("."):
                yield file.relative_to(folder).as_posix()


def _must_be_ours(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise PackError(f"{folder}: is a file; name a folder for the pack")
    if (folder / BEGUN).is_file() or _is_ours(folder / MANIFEST):
        return
    for name in (MANIFEST, *FILES, *FOLDERS):
        if (folder / name).exists():
            raise PackError(
                f"{folder}: has a {name} that is of no pack, and would be written over; "
                "take another folder"
            )


def _is_ours(listed: Path) -> bool:
    try:
        return listed.read_bytes().startswith(f"{_HEAD}\r\n".encode())
    except OSError:
        return False


def _must_have_room(folder: Path, size: int) -> None:
    free = shutil.disk_usage(folder).free + sum(
        (folder / name).stat().st_size for name in there(folder)
    )
    if free < size:
        raise PackError(
            f"{folder}: {free / 1e6:.1f} MB are free and the pack takes {size / 1e6:.1f} MB; "
            "make room, or take a smaller pack with --limit"
        )


def _clear(folder: Path) -> None:
    for name in FILES:
        (folder / name).unlink(missing_ok=True)
    for name in FOLDERS:
        if (folder / name).is_dir():
            shutil.rmtree(folder / name)


def _write(file: Path, body: bytes) -> None:
    with file.open("wb") as opened:
        opened.write(body)
        opened.flush()
        os.fsync(opened.fileno())


def _settle(folder: Path) -> None:
    """Waits until the folder's own list of files is on the disk, where the system can do that."""
    try:
        place = os.open(folder, os.O_RDONLY)
    except OSError:
        return  # no folder can be opened here, as on Windows
    try:
        os.fsync(place)
    finally:
        os.close(place)
