"""What is to be said, before it has words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from showtime.fair import Signboard, instant


class Kind(StrEnum):
    """The situations that a phrase bank has templates for."""

    NEXT = "next"
    SOON = "soon"
    CALL = "call"
    PLAYING = "playing"
    LATE = "late"
    CHANGED = "changed"
    NONE_LEFT = "none_left"
    TOMORROW = "tomorrow"
    NOT_OPEN = "not_open"
    CALLED_OFF = "called_off"
    CLOCK_UNSET = "clock_unset"
    UNDERSTOOD = "understood"
    """A time was set on the figure itself: it says what it understood, before that counts."""
    NOT_CAUGHT = "not_caught"
    REFUSED = "refused"
    """The start that was set is not allowed; tells the nearest that is, if there is one."""
    AGREED = "agreed"
    CLOCK_SET = "clock_set"
    """Tells what the figure's clock shows, now that it was set."""
    SURE = "sure"
    """Asks whether the clock is to be set to this, since it would cost performances."""


class Mood(StrEnum):
    """What colours an answer beside what it tells. A template with the built-in rule of that name
    is said only then."""

    EARLY = "when_early"
    """Nothing has been performed today yet."""
    BUSY = "when_busy"
    """Many have asked lately, or the settings call the time busy."""
    LAST = "when_last"
    """The start that is told, or what plays now, is the last of the day."""


class Bar(StrEnum):
    """What forbids a start that was set. The built-in rule of that name says nothing, and is
    passed only where that is what forbids it: words beside it say so in a few words."""

    QUIET = "if_quiet"
    """A quiet interval; `why` is its reason."""
    REST = "if_rest"
    """Too close to another performance."""
    CAP = "if_cap"
    """More than the caps allow."""
    HEAT = "if_hot"
    CHARGE = "if_low"
    CLOSED = "if_closed"
    GRID = "if_grid"
    """Not at a minute at which performances start."""
    PAST = "if_past"
    OFF = "if_off"
    """The keeper called off what was to be then."""
    OTHER = "if_other"
    """Something else; also where nothing is said of it."""


@dataclass(frozen=True, slots=True)
class Situation:
    """One thing to be said at `now`.

    `at` is the start that the sentence tells; None when it tells none. A template that tells a
    time is chosen if and only if `at` is given. `piece` is the piece in question, `why` a reason
    in the keeper's words; either may be empty, and templates that need it are then passed over.
    `bars` are what forbids a start that was set.
    """

    kind: Kind
    now: datetime
    signboard: Signboard
    at: datetime | None = None
    piece: str = ""
    why: str = ""
    moods: frozenset[Mood] = frozenset()
    bars: frozenset[Bar] = frozenset()

    def __post_init__(self) -> None:
        object.__setattr__(self, "now", instant(self.now))
        if self.at is not None:
            object.__setattr__(self, "at", instant(self.at))


@dataclass(frozen=True, slots=True)
class Sentence:
    """Words for a situation; `template` is the number of the template they came from."""

    text: str
    language: str
    situation: Situation
    template: int
