"""A button's edges -> short, long and double presses.

Nothing that is not needed delays an answer. With neither a long nor a double press to tell from
it, a short one counts as the button goes down; with a long one, as it is let go; only where a
double press means something is a second one waited for. A long press counts while still held.

Times are whole microseconds on any axis that only grows. This file is also the kit's: it keeps to
what CPython and MicroPython share.
"""

SHORT = "short"
LONG = "long"
DOUBLE = "double"

DEBOUNCE = 20_000
"""What follows a change of the contact so soon is its bouncing."""


class Presses:
    """Tells each press once.

    `long` is how long a long press is held, `double` how soon after letting go the second press of
    a double one comes; 0 where such a press means nothing, else more than `debounce`. A button that
    is `held` when the listening begins has not been pressed. Ask for a `tick` every few
    milliseconds while `busy`.
    """

    def __init__(
        self, long: int = 0, double: int = 0, debounce: int = DEBOUNCE, held: bool = False
    ) -> None:
        self._long = long
        self._double = double
        self._debounce = debounce
        self._level = held  # as last read
        self._down = held  # as it counts
        self._since: int | None = None  # when that changed; None: not since the listening began
        self._counted = True  # what is down has been told, or was never pressed
        self._first_of_two = False  # a short press that a second one may make double

    @property
    def busy(self) -> bool:
        """Whether the mere passing of time may still tell something."""
        return not self._counted or self._level != self._down or self._first_of_two

    def edge(self, at: int, down: bool) -> str | None:
        """The button goes down or up; bounces and all."""
        told = self.tick(at)
        self._level = down
        if self._since is None or at - self._since >= self._debounce:
            told = self._take_over(at) or told
        return told

    def tick(self, now: int) -> str | None:
        """Time has passed."""
        if self._since is None:
            return None
        told = None
        if now - self._since >= self._debounce:
            told = self._take_over(self._since + self._debounce)
        return self._overdue(now - self._since) or told

    def _take_over(self, at: int) -> str | None:
        """Let what was read count, if it is new."""
        if self._level == self._down:
            return None
        self._down = self._level
        self._since = at
        return self._pressed() if self._down else self._let_go()

    def _pressed(self) -> str | None:
        second = self._first_of_two
        self._first_of_two = False
        self._counted = second or not (self._long or self._double)
        if not self._counted:
            return None
        return DOUBLE if second else SHORT

    def _let_go(self) -> str | None:
        if self._counted:
            return None
        self._counted = True
        self._first_of_two = self._double > 0
        return None if self._first_of_two else SHORT

    def _overdue(self, lasted: int) -> str | None:
        if self._first_of_two and lasted >= self._double:
            self._first_of_two = False
            return SHORT
        if self._long and not self._counted and lasted >= self._long:
            self._counted = True
            return LONG
        return None
