"""What a command writes to a file: whole, or not at all."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from showtime.fair import ShowtimeError


class WritingError(ShowtimeError):
    """A file cannot be written where it was wanted."""


def write(file: Path, content: bytes) -> None:
    """Put `content` in `file`; what stood there stays until all of it is written."""
    write_all({file: content})


def write_all(contents: Mapping[Path, bytes]) -> None:
    """The same for several files: unless all of them could be written, all stay as they were."""
    fresh: dict[Path, Path] = {}
    file = Path()
    try:
        for file, content in contents.items():
            if file.is_dir():
                raise WritingError(f"{file}: a folder; give the name of a file in it")
            file.parent.mkdir(parents=True, exist_ok=True)
            fresh[file] = file.with_name(f"{file.name}.new")
            fresh[file].write_bytes(content)
        for file, written in fresh.items():
            written.replace(file)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise WritingError(f"{file}: cannot be written ({why})") from error
    finally:
        for left in fresh.values():
            with suppress(OSError):
                left.unlink(missing_ok=True)


def folder_for(folder: Path) -> None:
    """Make sure that files can be put into `folder`, which is made if it is not there."""
    if folder.exists() and not folder.is_dir():
        raise WritingError(f"{folder}: this is a file; give the name of a folder")
    trial = folder / ".new"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        trial.write_bytes(b"")
        trial.unlink()
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        raise WritingError(f"{folder}: nothing can be written there ({why})") from error
