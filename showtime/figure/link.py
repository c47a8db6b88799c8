"""The computer's side of the link: what it tells the controller, and what it hears of it.

Nothing here waits, looks at a clock or starts a thread: whoever has the link calls `step` whenever
something has arrived or `due` has come. The other methods may be called from any thread.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta

from showtime.figure import wire
from showtime.figure.cord import Cord
from showtime.figure.exchange import COMPUTER, Exchange, Pace, Words
from showtime.figure.hearing import LOST, Hello, fault_of, hello_of, readings_of
from showtime.figure.ports import Port
from showtime.figure.wire import Line, as_word
from showtime.live.reports import Began, Ended, Failed, Report, Well

VERSION = "1"

_MOVES = ("play", "say")
_OF_THE_DAY = ("clock", "piece", "plan", "start")


class Link:
    """A bond with the controller at `name`, made anew whenever it was lost.

    `greeting` is a number that the last run of the program did not use: it tells its bonds from
    those of before. For `grace` seconds after the first step nobody is told that the controller
    cannot be heard: many start up when their line is opened.
    """

    def __init__(
        self,
        name: str,
        opened: Callable[[], Port],
        monotonic: Callable[[], float],
        pace: Pace,
        greeting: int,
        grace: float = 10.0,
    ) -> None:
        self.name = name
        self._monotonic = monotonic
        self._pace = pace
        self._greeting = greeting % (wire.LAST_NUMBER + 1)
        self._grace = grace
        self._patient_until: float | None = None
        self._lock = threading.RLock()
        self._cord = Cord(opened, pace.beat)
        self._talk = Exchange(pace, self._send, COMPUTER, self._refused)
        self._greet_at = 0.0
        self._well = False
        self._told_lost = False
        self._lost = ""
        self._reports: list[Report] = []
        self._trouble: Failed | None = None
        self._run = 0
        self._playing: tuple[int, str] | None = None
        self._begins_by: float | None = None
        self._day: tuple[Words, ...] = ()
        self._clock: tuple[datetime, float] | None = None

    @property
    def bonded(self) -> bool:
        """True while the controller is there and heard."""
        return bool(self._talk.bond)

    def play(self, number: int, name: str, lasts: timedelta) -> None:
        """Perform the piece of that number now; it is reported as failed when that cannot be."""
        with self._lock:
            now = self._monotonic()
            self._run = self._run % wire.LAST_NUMBER + 1
            self._playing = self._run, name
            if not self._talk.bond:
                self._fails(f"{name} could not begin: {self.silent}", True, begun=False)
                return
            self._begins_by = now + 2 * self._pace.silence
            tenths = str(round(lasts / timedelta(seconds=0.1)))
            play = ("play", str(self._run), str(number), tenths)
            # Only a stop has to have arrived before it.
            stopping = self._talk.under_way == "stop"
            (self._talk.say_next if stopping else self._talk.say_at_once)(play, now)

    def stop(self) -> None:
        """Everything stops now: ahead of all else, and again until it is acknowledged.

        Without a bond the greeting does it, which is said until it is answered.
        """
        with self._lock:
            self._playing = self._begins_by = None
            self._talk.unsay(lambda words: words[0] in _MOVES or words[0] == "stop")
            if self._talk.bond:
                self._talk.say_at_once(("stop",), self._monotonic())
            else:
                self._greet(self._monotonic())

    def say(self, clips: Sequence[str]) -> None:
        """Say these clips, one after the other, in place of any that are in the air."""
        with self._lock:
            if self._talk.bond:
                self._talk.unsay(lambda words: words[0] == "say")
                self._talk.say_next(("say", *map(as_word, clips)), self._monotonic())

    def follow(
        self,
        pieces: Sequence[tuple[str, timedelta]],
        starts: Sequence[tuple[datetime, int]],
        now: datetime,
    ) -> None:
        """The day as it is planned now, and the time; pieces are numbered from 1. Local times."""
        lengths = [str(round(lasts / timedelta(seconds=0.1))) for _, lasts in pieces]
        told: list[Words] = [
            ("piece", str(number), lengths[number - 1], as_word(name))
            for number, (name, _) in enumerate(pieces, 1)
        ]
        told.append(("plan", str(len(starts))))
        for index, (start, number) in enumerate(starts, 1):
            told.append(("start", str(index), f"{start:%Y-%m-%dT%H:%M:%S}", str(number)))
        with self._lock:
            self._day, self._clock = tuple(told), (now, self._monotonic())
            self._tell_day()

    def tell_again(self) -> None:
        """Somebody new listens: what is wrong now is reported once more."""
        with self._lock:
            if self._trouble is not None:
                self._reports.append(self._trouble)

    def step(self) -> list[Report]:
        """Hear what has arrived, say what is due; what the day has to know of it."""
        with self._lock:
            now = self._monotonic()
            if self._patient_until is None:
                self._patient_until = now + self._grace
            self._step(now)
            self._watch(now)
            told, self._reports = self._reports, []
            return told

    def due(self) -> float:
        """The moment at which `step` has something to do even if nothing arrives."""
        with self._lock:
            greets = self._greet_at if self._cord.there else self._cord.again_at
            dues = [self._talk.due() if self._talk.bond else greets]
            if self._begins_by is not None:
                dues.append(self._begins_by)
            if not self._talk.bond and not self._told_lost and self._patient_until is not None:
                dues.append(self._patient_until)
            return 0.0 if self._reports else min(dues)

    def wait(self, seconds: float) -> bool:
        """Until something arrives, at most so long. False: there is no line to wait on."""
        return self._cord.wait(seconds)

    def close(self) -> None:
        """Stop everything, and let the line go."""
        with self._lock:
            self.stop()
            self._cord.close()
            self._talk.end()

    def _step(self, now: float) -> None:
        if self._cord.opens(now):
            if self._talk.bond:  # it went and came back while nobody looked
                self._lose("its line was gone", now)
            else:
                self._new_greeting(now)
        for line in self._cord.lines(now):
            self._heard(line, now)
        why = self._talk.lost(now) if self._cord.there else self._cord.why
        if self._talk.bond and why:
            self._lose(why, now)
        elif self._talk.bond:
            self._talk.tick(now)
        elif now >= self._greet_at:
            self._greet(now)

    def _heard(self, line: Line, now: float) -> None:
        hello = hello_of(line)
        if hello is not None and hello.greeting == self._greeting and not self._talk.bond:
            self._bonds(hello, line.bond, now)
        message = self._talk.heard(line, now)
        if message is None:
            return
        doing = {"started": self._started, "finished": self._finished, "fault": self._fault}
        if message.verb in doing:
            doing[message.verb](message.words[1:])
        elif message.verb == "well":
            self._is_well()
        elif message.verb == "reading":
            self._reports += readings_of(message.words[1:])
        self._talk.reply(message)

    def _bonds(self, hello: Hello, bond: int, now: float) -> None:
        self._talk.begin(bond, now)
        self._told_lost, self._lost = False, ""
        self._well = False
        if hello.fault:
            self._fault((hello.fault,))
        else:
            self._is_well()
        self._tell_day()

    def _tell_day(self) -> None:
        """What the controller should know of the day, behind whatever is more urgent."""
        if self._talk.bond and self._clock is not None:
            now = self._monotonic()
            self._talk.unsay(lambda words: words[0] in _OF_THE_DAY)
            told, at = self._clock
            clock = told + timedelta(seconds=now - at)
            self._talk.say(("clock", clock.isoformat(timespec="seconds")), now)
            for words in self._day:
                self._talk.say(words, now)

    def _started(self, words: Words) -> None:
        if self._playing is not None and words[:1] == (str(self._playing[0]),):
            self._begins_by = None
            self._reports.append(Began(self._playing[1]))

    def _finished(self, words: Words) -> None:
        if self._playing is not None and words[:1] == (str(self._playing[0]),):
            self._reports.append(Ended(self._playing[1]))
            self._playing = self._begins_by = None

    def _fault(self, words: Words) -> None:
        fault = fault_of(words)
        self._well = False
        self._fails(fault.why, True, excuse=fault.excuse)

    def _is_well(self) -> None:
        if not self._well:
            self._well, self._trouble = True, None
            self._reports.append(Well())

    def _refused(self, words: Words, why: str) -> None:
        if words[0] == "play" and self._playing and words[1] == str(self._playing[0]):
            name = self._playing[1]
            self._fails(f"{name} could not begin: the controller refuses ({why})", begun=False)

    def _fails(
        self, why: str, lasting: bool = False, *, begun: bool | None = None, excuse: str = LOST
    ) -> None:
        sure = self._begins_by is None if begun is None else begun
        failed = Failed(why, lasting, sure, excuse)
        if lasting:
            self._trouble = failed
        self._reports.append(failed)
        self._playing = self._begins_by = None

    def _watch(self, now: float) -> None:
        """What should have been heard by now."""
        if self._begins_by is not None and now >= self._begins_by and self._playing:
            name = self._playing[1]
            self._fails(
                f"{name} did not begin: the controller took it, and did nothing", begun=False
            )
            self.stop()
        if not self._talk.bond and not self._told_lost and now >= (self._patient_until or 0.0):
            self._told_lost = True
            self._fails(self.silent, lasting=True)

    @property
    def silent(self) -> str:
        """Why nothing is heard of the controller, as far as is known."""
        why = self._cord.why or self._lost or "nothing is heard of it"
        return f"the figure's controller on {self.name} is not there: {why}"

    def _lose(self, why: str, now: float) -> None:
        self._lost = why
        self._talk.end()
        self._well = False
        self._patient_until = now
        self._new_greeting(now)

    def _new_greeting(self, now: float) -> None:
        self._greeting = (self._greeting + 1) % (wire.LAST_NUMBER + 1)
        self._greet(now)

    def _greet(self, now: float) -> None:
        """The empty line ends whatever noise the other side may have begun a line with."""
        self._greet_at = now + self._pace.beat
        hello = Line(0, 0, ("hello", VERSION, str(self._greeting)))
        self._send(b"\n" + wire.written(hello))

    def _send(self, data: bytes) -> None:
        self._cord.send(data, self._monotonic())
