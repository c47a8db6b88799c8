"""A telephone dial's contacts -> digits or doubts.

Edges come in with their times; there is no other clock, so a train means the same whether it is
read live or from a record. Times are whole microseconds on any axis that only grows.

A pulse is a break of the contact, ten of them mean 0. Every break and every make of a train must
have a length that a sound dial can give, and all of them must be alike, for its governor keeps its
speed. One that does not fit spoils the whole digit: a train is read rightly or doubted, never
mended. Only a first or last pulse that is lost without a trace leaves a sound train behind.

This file is also the kit's: it keeps to what CPython and MicroPython share, so its values are
named tuples and its words are strings.
"""

from collections import namedtuple

SETTLE = 5_500
"""A contact that kept still so long has bounced out (bounces last up to 5 ms)."""

CHATTER = 8_000
"""Edges that follow each other closely for longer are no bouncing: pulses may hide in them."""

SPARKS_APART = 150_000
"""And so they may in two sparks that come sooner after one another than two slow pulses do."""

PAUSE = 400_000
"""Rest that ends a digit where no off-normal contact is wired. The make beside a lost pulse lasts
207 ms at 7 pulses a second, beside two lost ones 350 ms; the pause between digits is 800 ms in
modem practice."""

STUCK = 300_000
"""No break lasts so long: the contact is stuck, or the wire is off."""

HOMEWARD = 1_500_000
"""A dial is home so soon after its last pulse."""

# Accepted are 7 to 12 pulses a second with breaks of 55 to 75 %, wider than Atkinson (Telephony,
# vol. 1: 7 to 12, 63 to 72 %) and AT&T Spec. 4566 (8 to 11). Beyond that lies what jitter may add,
# and well before the next thing that a length could mean.
BREAK = (38_000, 118_000)  # sound ones: 45.8 to 107.1 ms; two run together: from 129 ms
MAKE = (13_000, 75_000)  # sound ones: 20.8 to 64.3 ms; with a pulse lost in it: from 104 ms
PERIOD = (75_000, 155_000)  # sound ones: 83.3 to 142.9 ms; with a pulse lost: from 166.7 ms
BREAK_SHARE = (47, 83)  # percent of the train's time, all its periods together
PERIODS_DIFFER = 20  # at most, the longest from the shortest, in percent of their mean
BREAKS_DIFFER = 30

SHORT_BREAK = "a break is too short"
LONG_BREAK = "a break is too long"
SHORT_MAKE = "a make is too short"
LONG_MAKE = "a make is too long"
TOO_FAST = "the dial runs too fast"
TOO_SLOW = "the dial runs too slowly"
SHARE = "breaks and makes are out of proportion"
CHATTERS = "the contact chatters"
UNSTEADY = "the pulses are uneven"
TOO_MANY = "more than ten pulses"
IS_STUCK = "the contact stays open"
AT_REST = "pulses came while the dial was at rest"
NO_PULSE = "the dial turned without a pulse"
NOT_HOME = "the dial did not come home"
UNRESTED = "the dial was not at rest at the start"
DISORDER = "times came out of order"

Heard = namedtuple("Heard", ("digit", "doubt", "at"))
"""A digit 0 to 9, or None and the reason why it is in doubt; and when that was certain."""


class Contact:
    """A contact without its bounces. It is taken to be closed until an edge tells otherwise.

    A burst of edges counts once it has been still for `SETTLE`; its time is the first edge's. A
    burst that ends as it began is a spark and changes nothing.
    """

    def __init__(self) -> None:
        self.is_open = False
        self.since = 0
        self.last_edge = 0
        self.moving = False
        self.chattered = False
        self._sparked_at = -SPARKS_APART
        self._began = 0
        self._level = False

    def edge(self, at: int, is_open: bool) -> None:
        """What is known at `at` must have been taken in by `settle` before."""
        if is_open == self._level:
            return
        self._level = is_open
        if not self.moving:
            self.moving = True
            self._began = at
        self.last_edge = at

    def settle(self, now: int) -> bool:
        """True if the contact has changed for good. `chattered` is of what ended just now."""
        self.chattered = False
        if not self.moving or now - self.last_edge < SETTLE:
            return False
        self.moving = False
        self.chattered = self.last_edge - self._began > CHATTER
        if self._level == self.is_open:
            if self._began - self._sparked_at < SPARKS_APART:
                self.chattered = True
            self._sparked_at = self._began
            return False
        self.is_open = self._level
        self.since = self._began
        return True


class Lengths:
    """Lengths that should be alike."""

    def __init__(self) -> None:
        self.count = 0
        self.total = 0
        self._shortest = 0
        self._longest = 0

    def add(self, length: int) -> None:
        if self.count == 0 or length < self._shortest:
            self._shortest = length
        if length > self._longest:
            self._longest = length
        self.count += 1
        self.total += length

    def differ(self, percent: int) -> bool:
        """Whether the longest exceeds the shortest by more than that share of their mean."""
        return (self._longest - self._shortest) * self.count * 100 > percent * self.total


class Train:
    """The pulses of one digit, each judged as it comes. The first fault that is found stays."""

    def __init__(self) -> None:
        self.doubt = ""
        self.told = False
        self.pulses = 0
        self._opened = 0
        self._closed = 0
        self._breaks = Lengths()
        self._periods = Lengths()
        self._breaks_in_periods = 0

    def spoil(self, doubt: str) -> None:
        if not self.doubt:
            self.doubt = doubt

    def opened(self, at: int) -> None:
        if self.pulses:
            self._within(at - self._closed, MAKE, SHORT_MAKE, LONG_MAKE)
            self._within(at - self._opened, PERIOD, TOO_FAST, TOO_SLOW)
            self._periods.add(at - self._opened)
            self._breaks_in_periods = self._breaks.total
        self._opened = at

    def closed(self, at: int) -> None:
        self.pulses += 1
        self._within(at - self._opened, BREAK, SHORT_BREAK, LONG_BREAK)
        self._breaks.add(at - self._opened)
        self._closed = at

    def heard(self, at: int) -> Heard:
        """What the whole train means."""
        if self.pulses == 0:
            self.spoil(NO_PULSE)
        if self.pulses > 10:
            self.spoil(TOO_MANY)
        if self._breaks.differ(BREAKS_DIFFER) or self._periods.differ(PERIODS_DIFFER):
            self.spoil(UNSTEADY)
        percent, whole = self._breaks_in_periods * 100, self._periods.total
        if percent < BREAK_SHARE[0] * whole or percent > BREAK_SHARE[1] * whole:
            self.spoil(SHARE)
        if self.doubt:
            return Heard(None, self.doubt, at)
        return Heard(self.pulses % 10, "", at)

    def _within(self, length: int, limits: tuple[int, int], below: str, above: str) -> None:
        if length < limits[0]:
            self.spoil(below)
        elif length > limits[1]:
            self.spoil(above)


class Dial:
    """Tells each digit once, when it is certain.

    `began` is when the listening began: what is already under way then is doubted. With
    `off_normal`, the contact that tells that the dial has left its rest bounds each digit.
    Ask for a `tick` every few milliseconds while `turning`, else a few times a second.
    """

    def __init__(self, began: int, off_normal: bool = False) -> None:
        self._began = began
        self._now = began
        self._wired = off_normal
        self._pulsing = Contact()
        self._away = Contact()
        self._train: Train | None = None
        self._disturbed = began  # until then nothing can be told from the wire

    @property
    def turning(self) -> bool:
        """Whether a digit is under way."""
        return self._train is not None or self._pulsing.moving or self._away.moving

    def edge(self, at: int, is_open: bool) -> Heard | None:
        """The pulse contact opened or closed; bounces and all."""
        heard = self.tick(at)
        self._pulsing.edge(self._now, is_open)
        return heard

    def off_normal(self, at: int, is_away: bool) -> Heard | None:
        """The dial left its rest, or came home."""
        heard = self.tick(at)
        self._away.edge(self._now, is_away)
        return heard

    def tick(self, now: int) -> Heard | None:
        """Time has passed."""
        if now >= self._now:
            self._now = now
        elif self.turning:
            self._disturb(DISORDER, self._now)
        heard = None
        if self._away.last_edge < self._pulsing.last_edge:
            heard = self._turned()
            self._pulsed()
        else:
            self._pulsed()
            heard = self._turned()
        return heard or self._overdue()

    def _under_way(self, at: int) -> Train:
        """The train that is running, or one that begins then."""
        if self._train is None:
            self._train = Train()
            if at - self._began < PAUSE:
                self._train.spoil(UNRESTED)
        return self._train

    def _disturb(self, doubt: str, at: int) -> None:
        self._under_way(at).spoil(doubt)
        self._disturbed = at

    def _pulsed(self) -> None:
        pulsing = self._pulsing
        changed = pulsing.settle(self._now)
        if pulsing.chattered:
            self._disturb(CHATTERS, pulsing.last_edge)
        if not changed:
            return
        train = self._under_way(pulsing.since)
        if self._wired and not self._away.is_open:
            train.spoil(AT_REST)
        if pulsing.is_open:
            train.opened(pulsing.since)
        else:
            train.closed(pulsing.since)

    def _turned(self) -> Heard | None:
        away = self._away
        if not away.settle(self._now):
            return None
        if away.is_open:
            self._under_way(away.since)
            return None
        if self._pulsing.is_open:
            return self._tell(IS_STUCK, away.since)
        return self._end(away.since)

    def _overdue(self) -> Heard | None:
        """What the mere passing of time tells of a train."""
        train, since = self._train, self._pulsing.since
        if train is None or self._pulsing.moving or self._away.moving:
            return None
        if self._pulsing.is_open:
            late = self._now - since >= STUCK
            return self._tell(IS_STUCK, since + STUCK) if late else None
        since = max(since, self._disturbed)
        if not self._away.is_open:
            return self._end(since + PAUSE) if self._now - since >= PAUSE else None
        late = train.pulses > 0 and self._now - since >= HOMEWARD
        return self._tell(NOT_HOME, since + HOMEWARD) if late else None

    def _tell(self, doubt: str, at: int) -> Heard | None:
        """Tell a doubt before the train has ended; nothing more is told of that train."""
        train = self._train
        if train is None or train.told:
            return None
        train.spoil(doubt)
        train.told = True
        return Heard(None, train.doubt, at)

    def _end(self, at: int) -> Heard | None:
        train, self._train = self._train, None
        return None if train is None or train.told else train.heard(at)
