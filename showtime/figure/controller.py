"""A stand-in for the figure's controller: it keeps PROTOCOL.md, and has a body that can be jammed.

Like the real one it must stop by itself when it hears nothing, so it can be tried without a motor
what a cable pulled in mid-piece leads to. It is a whole example of the controller's side, too.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from showtime.figure import wire
from showtime.figure.exchange import CONTROLLER, Exchange, Pace, Words
from showtime.figure.ports import LineGoneError, Port
from showtime.figure.wire import Line, as_word


@dataclass(frozen=True, slots=True)
class Deed:
    """Something that the body did: `played`, `ended`, `stopped`, `said`; what, and when."""

    what: str
    about: Words
    at: float


@dataclass(frozen=True, slots=True)
class _Motion:
    run: str
    ends: float


class PretendController:
    """A controller on `port` whose time is `monotonic`; `step` is its main loop, once around.

    `deeds` is what its body did, `known` what it was told of the day. `celsius`, `amperes` and
    `battery` are what its sensors show; None: there is no such sensor.
    """

    def __init__(
        self,
        port: Port | None,
        monotonic: Callable[[], float],
        pace: Pace | None = None,
        *,
        reads_every: float = 10.0,
        bonds_from: int = 0,
    ) -> None:
        self.port = port
        self.deeds: list[Deed] = []
        self.known: dict[str, Words] = {}
        self.celsius: float | None = None
        self.amperes: float | None = None
        self.battery: float | None = None
        self.fault = ""
        self._monotonic = monotonic
        self._pace = pace or Pace()
        self._reads_every = reads_every
        self._read_at = 0.0
        self._splitter = wire.Splitter()
        self._talk = Exchange(self._pace, self._send, CONTROLLER)
        self._bonds = bonds_from
        self._greeting = ""
        self._motion: _Motion | None = None
        self._frozen = self._deaf = self._mute = False
        self._times = 1

    # What befalls it.

    def jam(self) -> None:
        """Something is caught in the works."""
        self._breaks_down("jammed")

    def overheat(self) -> None:
        """A motor is hotter than its own cut-out allows."""
        self._breaks_down("hot")

    def drain(self) -> None:
        """The battery is as good as empty."""
        self._breaks_down("battery")

    def press_stop(self) -> None:
        """The keeper presses the stop button on the figure itself."""
        self._breaks_down("other", "stop button")

    def mend(self) -> None:
        """Freed, cooled, charged, the button released: all is well again."""
        if self.fault:
            self.fault = ""
            self._say(("well",))

    def finish(self) -> None:
        """The piece comes to its end now."""
        if self._motion is not None:
            self._ended(self._motion)

    def drag(self, seconds: float) -> None:
        """The piece takes so much longer than it should."""
        if self._motion is not None:
            self._motion = _Motion(self._motion.run, self._motion.ends + seconds)

    def freeze(self) -> None:
        """Its program hangs. (A real one has a watchdog that stops the motors then.)"""
        self._frozen = True

    def thaw(self) -> None:
        """It goes on where it hung."""
        self._frozen = False

    def go_deaf(self, deaf: bool = True) -> None:
        """The wire towards it is broken, or whole again."""
        self._deaf = deaf

    def go_mute(self, mute: bool = True) -> None:
        """The wire from it is broken, or whole again."""
        self._mute = mute

    def stutter(self, times: int) -> None:
        """From now on it says each line so often."""
        self._times = times

    def mutter(self, noise: bytes) -> None:
        """Noise comes from its side of the line."""
        self._write(noise)

    def lose_power(self) -> None:
        """Off and on again: whatever it was doing or knew is gone."""
        self._stop()
        self._talk.end()
        self._greeting, self.known, self.fault = "", {}, ""

    # What it does.

    @property
    def moving(self) -> bool:
        """True while the figure performs."""
        return self._motion is not None

    def step(self) -> None:
        """Once around the main loop. The silence is looked at before anything is read: what waited
        while the program hung must not move anything."""
        now = self._monotonic()
        if self._frozen:
            return
        if self._talk.bond and now - self._talk.heard_at >= self._pace.silence:
            self._stop()
            self._talk.end()
        for raw in self._splitter.feed(self._arrived()):
            line = wire.read(raw)
            if line is not None:
                self._heard(line, now)
        if self._motion is not None and now >= self._motion.ends:
            self._ended(self._motion)
        if self._talk.bond:
            self._measure(now)
            self._talk.tick(now)

    def due(self) -> float:
        """When its main loop has something to do next, even if nothing arrives."""
        dues = [self._talk.due(), self._read_at] if self._talk.bond else []
        if self._motion is not None:
            dues.append(self._motion.ends)
        return min(dues, default=float("inf"))

    def _arrived(self) -> bytes:
        try:
            data = self.port.read() if self.port is not None else b""
        except LineGoneError:
            return b""
        return b"" if self._deaf else data

    def _heard(self, line: Line, now: float) -> None:
        if line.verb == "hello" and not line.bond and len(line.words) == 3:
            self._greeted(line.words[2], now)
            return
        message = self._talk.heard(line, now)
        if message is not None:
            refusal = self._does(message, now)
            self._talk.reply(message, refusal)
            if message.verb == "play" and not refusal:
                self._talk.say(("started", message.words[1]), now)

    def _greeted(self, greeting: str, now: float) -> None:
        """Each new greeting stops everything and makes a new bond; the same one again does not."""
        if self._talk.bond and greeting == self._greeting:
            return
        self._stop()
        self._greeting = greeting
        self._bonds = self._bonds % 65535 + 1
        self._talk.begin(self._bonds, now)
        self._read_at = now
        state = self.fault or "well"
        self._talk.say(("ready", "1", greeting, state, "pretend"), now)

    def _does(self, message: Line, now: float) -> Words:
        """Do what the message says; the reason when it is refused."""
        match message.words:
            case ("play", run, piece, tenths) if tenths.isdecimal():
                return self._plays(run, piece, int(tenths), now)
            case ("stop",):
                self._stop()
            case ("say", *clips):
                self.deeds.append(Deed("said", tuple(clips), now))
            case ("plan", count):
                self.known = {key: told for key, told in self.known.items() if key[:5] != "start"}
                self.known["plan"] = (count,)
            case ("clock", moment):
                self.known["clock"] = (moment,)
            case ("piece" | "start" as verb, number, *about):
                self.known[f"{verb} {number}"] = tuple(about)
            case _:
                return ("unknown",)
        return ()

    def _plays(self, run: str, piece: str, tenths: int, now: float) -> Words:
        if self.fault:
            return ("fault", self.fault)
        if self._motion is not None:
            return ("busy",)
        self._motion = _Motion(run, now + tenths / 10)
        self.deeds.append(Deed("played", (run, piece), now))
        return ()

    def _stop(self) -> None:
        if self._motion is not None:
            self.deeds.append(Deed("stopped", (self._motion.run,), self._monotonic()))
            self._motion = None

    def _ended(self, motion: _Motion) -> None:
        self._motion = None
        self.deeds.append(Deed("ended", (motion.run,), self._monotonic()))
        self._say(("finished", motion.run))

    def _breaks_down(self, fault: str, words: str = "") -> None:
        self._stop()
        self.fault = fault
        self._say(("fault", fault, *([as_word(words)] if words else [])))

    def _measure(self, now: float) -> None:
        if now < self._read_at:
            return
        self._read_at = now + self._reads_every
        shown = {"celsius": self.celsius, "amperes": self.amperes, "battery": self.battery}
        words = [
            word
            for name, value in shown.items()
            if value is not None
            for word in (name, f"{value:.2f}")
        ]
        if words:
            self._talk.hint(("reading", *words))

    def _say(self, words: Words) -> None:
        if self._talk.bond:
            self._talk.say(words, self._monotonic())

    def _send(self, data: bytes) -> None:
        for _ in range(self._times):
            self._write(data)

    def _write(self, data: bytes) -> None:
        if self.port is None or self._mute:
            return
        try:
            self.port.write(data)
        except LineGoneError:
            return  # nobody is at the other end: it goes on, and stops by itself soon
