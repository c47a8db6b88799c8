"""Dialled digits, or a time that was turned to -> a time that counts.

Three or four digits and a pause are a time. It is spoken back, and counts after another pause in
which nothing more was dialled: any further digit cancels it. A digit in doubt spoils the whole
entry, and what is no time of day is not caught; neither ever becomes another time.

Times are whole microseconds on any axis that only grows. This file is also the kit's: it keeps to
what CPython and MicroPython share, so its values are named tuples and its states strings.
"""

from collections import namedtuple

PAUSE = 4_000_000
"""Nothing was dialled for so long: the entry has ended. Cold fingers need two seconds to wind a
dial for a 0, and only the run back is heard."""

COMPLETE = 1_500_000
"""The same after four digits, when no more are due."""

COUNTS = 5_000_000
"""A time that was spoken back counts so long after."""

# The states of an entry.
EMPTY = "empty"
COLLECTING = "collecting"
SPOILT = "spoilt"
UNDERSTOOD = "understood"

# What happens to it.
DIGIT = "digit"
DOUBT = "doubt"
TURNED = "turned"
WITHDRAWN = "withdrawn"
IS_TIME = "a pause, and the digits are a time"
IS_NONE = "a pause, and they are none"
IS_OVER = "a pause after a time"

BECOMES = {
    (EMPTY, DIGIT): COLLECTING,
    (EMPTY, DOUBT): SPOILT,
    (EMPTY, TURNED): UNDERSTOOD,
    (COLLECTING, DIGIT): COLLECTING,
    (COLLECTING, DOUBT): SPOILT,
    (COLLECTING, TURNED): UNDERSTOOD,
    (COLLECTING, IS_TIME): UNDERSTOOD,
    (COLLECTING, IS_NONE): EMPTY,
    (COLLECTING, WITHDRAWN): EMPTY,
    (SPOILT, DIGIT): SPOILT,
    (SPOILT, DOUBT): SPOILT,
    (SPOILT, TURNED): UNDERSTOOD,
    (SPOILT, IS_NONE): EMPTY,
    (SPOILT, WITHDRAWN): EMPTY,
    (UNDERSTOOD, DIGIT): COLLECTING,
    (UNDERSTOOD, DOUBT): SPOILT,
    (UNDERSTOOD, TURNED): UNDERSTOOD,
    (UNDERSTOOD, IS_OVER): EMPTY,
    (UNDERSTOOD, WITHDRAWN): EMPTY,
}
"""The only ways from state to state; whatever is not here changes nothing."""

# What is told. A time that was understood is spoken back; one that counts is carried out.
SPEAK_BACK = "understood"
COUNT = "counts"
CANCEL = "cancelled"
NOT_CAUGHT = "not caught"

TOO_FEW = "too few digits for a time"
TOO_MANY = "too many digits for a time"
NO_TIME = "no such time of day"

Told = namedtuple("Told", ("what", "minute", "why"))
"""What became of an entry: the time in minutes of the day where it is one, else None; and why it
was not caught."""

Open = namedtuple("Open", ("opens", "closes", "now"))
"""A day's open hours and the present, in minutes of the day. Hours that end after midnight close
beyond 1440; `now` is None while the clock is not trusted."""


def resolved(hour: int, minute: int, day: Open) -> int:
    """The minute of the day that is meant. An hour 1 to 12 may be that of a twelve-hour clock:
    the one within the open hours counts, of two the next one to come, of none the one as dialled.
    """
    dialled = hour * 60 + minute
    if hour < 1 or hour > 12:
        return dialled
    other = (dialled + 720) % 1440
    opened = day.closes - day.opens
    dialled_is_open = (dialled - day.opens) % 1440 <= opened
    other_is_open = (other - day.opens) % 1440 <= opened
    if dialled_is_open and other_is_open:
        reference = day.opens if day.now is None else day.now
        return min(dialled, other, key=lambda at: (at - reference) % 1440)
    return other if other_is_open else dialled


class Entry:
    """One time after another as it is dialled or turned to; each call may tell what became of it.

    `day` may be renewed at any moment; it is asked when a time is understood. Ask for a `tick` a
    few times a second.
    """

    def __init__(self, day: Open) -> None:
        self.day = day
        self.state = EMPTY
        self._quiet_since = 0
        self._number = 0
        self._digits = 0
        self._doubt = ""
        self._minute = 0
        self._cancelling = False  # what is dialled next may be there only to cancel

    def digit(self, at: int, digit: int) -> Told | None:
        told = self.tick(at)
        return self._dialled(at, DIGIT, digit, "") or told

    def doubt(self, at: int, why: str) -> Told | None:
        """A digit that was not heard well."""
        told = self.tick(at)
        return self._dialled(at, DOUBT, 0, why) or told

    def turned(self, at: int, hour: int, minute: int) -> Told:
        """The knobs were turned to a time of twelve hours: it replaces what was under way."""
        self._step(TURNED)
        return self._understood(at, hour, minute)

    def withdraw(self, at: int) -> Told | None:
        """Forget what is not yet agreed upon, as when the knobs are turned on."""
        told = self.tick(at)
        was_understood = self.state == UNDERSTOOD
        self._step(WITHDRAWN)
        return Told(CANCEL, self._minute, "") if was_understood else told

    def busy(self, at: int) -> Told | None:
        """The dial is turning, or the figure still speaks: the pause begins anew."""
        told = self.tick(at)
        self._quiet_since = max(at, self._quiet_since)
        return told

    def tick(self, now: int) -> Told | None:
        """Time has passed."""
        if self.state == EMPTY or now - self._quiet_since < self._patience():
            return None
        if self.state == UNDERSTOOD:
            self._step(IS_OVER)
            return Told(COUNT, self._minute, "")
        return self._read(now)

    def _patience(self) -> int:
        if self.state == UNDERSTOOD:
            return COUNTS
        return PAUSE if self._digits < 4 else COMPLETE

    def _dialled(self, at: int, what: str, digit: int, why: str) -> Told | None:
        cancelled = self.state == UNDERSTOOD
        if cancelled or self.state == EMPTY:
            self._number = self._digits = 0
            self._doubt = ""
            self._cancelling = cancelled
        self._step(what)
        self._quiet_since = at
        self._digits += 1
        if self._digits <= 4:
            self._number = self._number * 10 + digit
        if why and not self._doubt:
            self._doubt = why
        return Told(CANCEL, self._minute, "") if cancelled else None

    def _read(self, now: int) -> Told | None:
        """What the digits mean, now that no more have come."""
        hour, minute = self._number // 100, self._number % 100
        why = self._doubt
        if not why and self._digits < 3:
            why = TOO_FEW
        if not why and self._digits > 4:
            why = TOO_MANY
        if not why and (hour > 23 or minute > 59):
            why = NO_TIME
        if why:
            self._step(IS_NONE)
            only_cancelled = self._cancelling and self._digits == 1
            return None if only_cancelled else Told(NOT_CAUGHT, None, why)
        self._step(IS_TIME)
        return self._understood(now, hour, minute)

    def _understood(self, at: int, hour: int, minute: int) -> Told:
        self._quiet_since = at
        self._minute = resolved(hour, minute, self.day)
        return Told(SPEAK_BACK, self._minute, "")

    def _step(self, what: str) -> None:
        self.state = BECOMES.get((self.state, what), self.state)
