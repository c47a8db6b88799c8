"""What the link needs of a serial line."""

from __future__ import annotations

from typing import Protocol

from showtime.fair import ShowtimeError


class LineGoneError(ShowtimeError):
    """The serial line is not there (any more); the words say what is known of it."""


class Port(Protocol):
    """A serial line that is open. Whatever is done to it raises LineGoneError once it is gone."""

    def read(self) -> bytes:
        """What has arrived, at once; empty when nothing has."""

    def write(self, data: bytes) -> None:
        """Send what there is room for now; never wait."""

    def wait(self, seconds: float) -> None:
        """Until something arrives, at most so long."""

    def close(self) -> None: ...
