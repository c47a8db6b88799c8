"""One side of the talk over the link: numbers, acknowledgements, repeats, beats, silence. Pure.

Both sides are alike here. One message is under way at a time; it is repeated, ever more slowly,
until it is acknowledged. What is urgent goes out at once and takes the place of what waits. Time is
a number of seconds that is handed in and only goes forward.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass

from showtime.figure.wire import LAST_NUMBER, Line, written

Words = tuple[str, ...]

_NEWER = LAST_NUMBER // 2
"""A number up to so far ahead is a newer one; any other is an older one again."""


@dataclass(frozen=True, slots=True)
class Pace:
    """Seconds: between beats, until a message is first repeated, between repeats at the most, and
    of silence until the link is lost."""

    beat: float = 1.0
    again: float = 0.2
    slowest: float = 1.0
    silence: float = 3.0

    @classmethod
    def of(cls, silence: float) -> Pace:
        """The usual pace where so long a silence is borne."""
        return cls(silence / 3, silence / 15, silence / 3, silence)


@dataclass(frozen=True, slots=True)
class Side:
    """The words of one side: its acknowledgement, its beat, and whatever else it says. No verb is
    said by both, so a line that echoes is not taken for an answer."""

    ack: str
    beat: str
    says: frozenset[str]

    def owns(self, verb: str) -> bool:
        """True when this side says so, and the other never does."""
        return verb in (self.ack, self.beat) or verb in self.says


COMPUTER = Side(
    "ack", "beat", frozenset({"hello", "play", "stop", "say", "clock", "piece", "plan", "start"})
)
CONTROLLER = Side(
    "done", "pulse", frozenset({"ready", "started", "finished", "fault", "well", "reading", "no"})
)


@dataclass(slots=True)
class _UnderWay:
    """The message that waits for its acknowledgement."""

    line: Line
    since: float
    again_at: float
    wait: float


class Exchange:
    """What was said and heard within one bond; `begin` starts the next one afresh."""

    def __init__(
        self,
        pace: Pace,
        write: Callable[[bytes], None],
        side: Side,
        refused: Callable[[Words, str], None] = lambda words, why: None,
    ) -> None:
        self.bond = 0
        self.heard_at = 0.0
        self._pace = pace
        self._write = write
        self._mine = side
        self._theirs = CONTROLLER if side is COMPUTER else COMPUTER
        self._refused = refused
        self._rest()

    def _rest(self) -> None:
        self._number = 0
        self._done = 0
        self._reply: Line | None = None
        self._waiting: deque[Words] = deque()
        self._under_way: _UnderWay | None = None
        self._beat_at = 0.0

    def begin(self, bond: int, now: float) -> None:
        """A new bond: numbers begin anew, and nothing that was waiting is said in it."""
        self._rest()
        self.bond = bond
        self.heard_at = now
        self._beat_at = now + self._pace.beat

    def end(self) -> None:
        """There is no bond any more."""
        self._rest()
        self.bond = 0

    def say(self, words: Words, now: float) -> None:
        """Say this once what was said before it has arrived."""
        self._waiting.append(words)
        self._go_on(now)

    def say_next(self, words: Words, now: float) -> None:
        """Say this ahead of all that waits, as soon as what is under way has arrived."""
        self._waiting.appendleft(words)
        self._go_on(now)

    def say_at_once(self, words: Words, now: float) -> None:
        """Say this now, ahead of all that waits or is under way, which then goes on after it."""
        if self._under_way is not None:
            self._waiting.appendleft(self._under_way.line.words)
        self._send(words, now)

    @property
    def under_way(self) -> str:
        """The verb of the message that waits for its acknowledgement; empty when none does."""
        return self._under_way.line.verb if self._under_way else ""

    def unsay(self, drops: Callable[[Words], bool]) -> None:
        """Of what waits or is under way, nothing that `drops` tells to is said any more."""
        self._waiting = deque(words for words in self._waiting if not drops(words))
        if self._under_way is not None and drops(self._under_way.line.words):
            self._under_way = None

    def hint(self, words: Words) -> None:
        """Say this once, unacknowledged: the next one is as good."""
        self._write(written(Line(self.bond, 0, words)))

    def heard(self, line: Line, now: float) -> Line | None:
        """What of a line that arrived is a new message; whoever does it then calls `reply`.

        Lines of another bond are not heard; what is here again is acknowledged again, no more. A
        message of ours that the other side refuses goes to `refused`, with the reason.
        """
        if line.bond != self.bond or not self.bond or self._mine.owns(line.verb):
            return None
        self.heard_at = now
        if line.verb in (self._theirs.ack, "no"):
            self._arrived(line, now)
            return None
        if line.number == 0:
            return None if line.verb == self._theirs.beat else line
        ahead = (line.number - self._done) % LAST_NUMBER if self._done else line.number
        if 1 <= ahead <= _NEWER:
            self._done, self._reply = line.number, None
            return line
        same = self._reply if line.number == self._done else None
        self._write(written(same or self._ack(line.number)))
        return None

    def reply(self, to: Line, refusal: Words = ()) -> None:
        """Acknowledge a message that was done, or refuse it with the reason."""
        if to.number and to.bond == self.bond:
            said = Line(self.bond, to.number, ("no", *refusal)) if refusal else self._ack(to.number)
            self._reply = said
            self._write(written(said))

    def tick(self, now: float) -> None:
        """Repeat what has waited long enough, and beat."""
        under_way = self._under_way
        if under_way is not None and now >= under_way.again_at:
            under_way.wait = min(2 * under_way.wait, self._pace.slowest)
            under_way.again_at = now + under_way.wait
            self._write(written(under_way.line))
        if self.bond and now >= self._beat_at:
            self._beat_at = now + self._pace.beat
            self._write(written(Line(self.bond, 0, (self._mine.beat,))))

    def due(self) -> float:
        """When `tick` has something to do next."""
        dues = [self._beat_at, self.heard_at + self._pace.silence] if self.bond else []
        return min([*dues, *([self._under_way.again_at] if self._under_way else [])], default=0.0)

    def lost(self, now: float) -> str:
        """Why the link is to be taken for lost; empty while it is well."""
        if self.bond and now - self.heard_at >= self._pace.silence:
            return "nothing is heard of it"
        under_way = self._under_way
        if under_way is not None and now - under_way.since >= self._pace.silence:
            return "it does not answer"
        return ""

    def _arrived(self, line: Line, now: float) -> None:
        if self._under_way is None or line.number != self._under_way.line.number:
            return
        words = self._under_way.line.words
        self._under_way = None
        if line.verb == "no":
            self._refused(words, " ".join(line.words[1:]))
        self._go_on(now)

    def _go_on(self, now: float) -> None:
        if self._under_way is None and self._waiting:
            self._send(self._waiting.popleft(), now)

    def _send(self, words: Words, now: float) -> None:
        self._number = self._number % LAST_NUMBER + 1
        line = Line(self.bond, self._number, words)
        wait = self._pace.again
        self._under_way = _UnderWay(line, now, now + wait, wait)
        self._write(written(line))

    def _ack(self, number: int) -> Line:
        return Line(self.bond, number, (self._mine.ack,))
