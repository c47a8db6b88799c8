"""A serial line that is opened again whenever it was gone, in whole lines."""

from __future__ import annotations

from collections.abc import Callable

from showtime.figure import wire
from showtime.figure.ports import LineGoneError, Port
from showtime.figure.wire import Line


class Cord:
    """Opens its line with `opened`, and again `rest` seconds after it could not or was gone.

    It never raises: `there` tells whether it is open, `why` what is known of why it is not.
    """

    def __init__(self, opened: Callable[[], Port], rest: float) -> None:
        self.why = ""
        self.again_at = 0.0
        self._opened = opened
        self._rest = rest
        self._port: Port | None = None
        self._splitter = wire.Splitter()

    @property
    def there(self) -> bool:
        return self._port is not None

    def opens(self, now: float) -> bool:
        """True when it was not there and is now."""
        if self._port is not None or now < self.again_at:
            return False
        self._splitter.clear()
        try:
            self._port, self.why = self._opened(), ""
        except LineGoneError as error:
            self._let_go(str(error), now)
        return self.there

    def lines(self, now: float) -> list[Line]:
        """The lines that have arrived; damaged ones are passed over."""
        if self._port is None:
            return []
        try:
            data = self._port.read()
        except LineGoneError as error:
            self._let_go(str(error), now)
            return []
        read = (wire.read(raw) for raw in self._splitter.feed(data))
        return [line for line in read if line is not None]

    def send(self, data: bytes, now: float) -> None:
        """Send it, if the line is there."""
        if self._port is not None:
            try:
                self._port.write(data)
            except LineGoneError as error:
                self._let_go(str(error), now)

    def wait(self, seconds: float) -> bool:
        """Until something arrives, at most so long. False: there is no line to wait on."""
        port = self._port
        if port is None:
            return False
        try:
            port.wait(seconds)
        except LineGoneError:
            return False  # whoever reads next finds out
        return True

    def close(self) -> None:
        port, self._port = self._port, None
        if port is not None:
            port.close()

    def _let_go(self, why: str, now: float) -> None:
        self.close()
        self.why, self.again_at = why, now + self._rest
