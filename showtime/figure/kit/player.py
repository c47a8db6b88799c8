"""Clips one after the other, a small part at a time, so that nothing waits for a sentence."""

TYPE_CHECKING = False
if TYPE_CHECKING:  # boards have no typing; a checker reads this as true
    from collections.abc import Callable
    from io import FileIO

    from showtime.figure.kit.pack import Pack

HEADER = 44
"""Bytes of a WAV file before its sound."""

PART = 1024
"""Bytes that are played at a time: 23 ms at 22,050 samples a second."""


class Player:
    """`play` takes a part of a sound (a memoryview of 16-bit samples) and how many bits softer."""

    def __init__(self, pack: "Pack", rate: int, play: "Callable[[memoryview, int], None]") -> None:
        self._pack = pack
        self._rate = rate
        self._play = play
        self._part = memoryview(bytearray(PART))
        self._nothing = memoryview(bytes(PART))
        self._row: list[int] = []
        self._file: FileIO | None = None
        self._silence = 0
        self._softer = 0

    @property
    def speaking(self) -> bool:
        return bool(self._row or self._file or self._silence)

    def say(self, row: "list[int]", softly: bool) -> None:
        """Say this now, in place of whatever is being said."""
        self.stop()
        self._row = list(row)
        self._softer = 2 if softly else 0

    def stop(self) -> None:
        self._close()
        self._row = []
        self._silence = 0

    def step(self) -> bool:
        """Play the next part. False when there is nothing to be said."""
        if self._silence:
            length = min(self._silence, PART)
            self._silence -= length
            self._play(self._nothing[:length], 0)
            return True
        if self._file is None and not self._next():
            return False
        if self._file is not None:
            length = self._file.readinto(self._part)
            if length:
                self._play(self._part[:length], self._softer)
            else:
                self._close()
        return True

    def _next(self) -> bool:
        """Take up the next clip or silence of the row."""
        if not self._row:
            return False
        token = self._row.pop(0)
        if token < 0:
            self._silence = -token * self._rate // 1000 * 2
        else:
            self._file = open(self._pack.clip(token), "rb", 0)  # noqa: SIM115  # closed by _close
            self._file.seek(HEADER)
        return True

    def _close(self) -> None:
        if self._file is not None:
            self._file.close()
            self._file = None
