"""What a command writes to a file: whole, or not at all."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from showtime.fair import ShowtimeError


class WritingError(ShowtimeError):
    """A file cannot be written where it was wanted."""


def write(file: Path, content: bytes) -> None:
    """Put `content` in `file`; what stood there stays until all of it is written."""
    if file.is_dir():
        raise WritingError(f"{file}: a folder; give the name of a file in it")
    fresh = file.with_name(f"{file.name}.new")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        fresh.write_bytes(content)
        fresh.replace(file)
    except OSError as error:
        with suppress(OSError):
            fresh.unlink(missing_ok=True)
        why = (error.strerror or str(error)).lower()
        raise WritingError(f"{file}: cannot be written ({why})") from error
