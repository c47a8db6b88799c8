"""What the running day needs of the world, each with the stand-in that rehearsals use."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from typing import Protocol, TypeAlias

from showtime.fair import Day, Piece
from showtime.live.clock import Alarms, Clock
from showtime.live.events import Slot
from showtime.live.reports import Report

Spoken: TypeAlias = tuple[str, str]
"""A text and its language."""


class Speech(Protocol):
    """The figure's voice as the running day uses it; nothing here may block."""

    def prepare(self, text: str, language: str) -> None:
        """These words are likely to be said next."""

    def expect(self, said: Sequence[Spoken]) -> None:
        """These may have to be said later, the soonest first, in place of what was expected."""

    def say(self, said: Sequence[Spoken], *, softly: bool) -> None:
        """Start saying the words now, one after the other, in place of any still in the air."""

    @property
    def speaking(self) -> bool: ...

    @property
    def trouble(self) -> str:
        """Why nothing is heard, in a line for the keeper; empty when all is well."""

    def close(self) -> None: ...


class Figure(Protocol):
    """The machine that performs. Nothing here may block."""

    @property
    def patience(self) -> timedelta | None:
        """How long after a piece's length its end may be told; None: it is never told."""

    def listen(self, told: Callable[[Report], None]) -> None:
        """From now on tell this one, and nobody else, what the figure says of itself.

        It is told on any thread; what is wrong at present is told again.
        """

    def follow(self, day: Day, coming: Sequence[Slot], now: datetime) -> None:
        """The pieces of the day, what is to come of it, and the time."""

    def play(self, piece: Piece) -> None:
        """Perform one of the pieces of the day now."""

    def stop(self) -> None:
        """Everything stops now."""

    def close(self) -> None:
        """Stop everything and let it go."""


Beside = Callable[[Callable[[], None]], None]
"""Does a piece of work without keeping the caller waiting."""


def at_once(work: Callable[[], None]) -> None:
    """The `Beside` of a rehearsal: nobody waits in simulated time, so the work is done here."""
    work()


def beside(work: Callable[[], None]) -> None:
    """The `Beside` of a live day: a thread of its own, for which the program waits at its end.

    A planner that is cut off in the middle of its work takes the whole process down with it, and
    the work is never long: planning has its limit in seconds. Said outright, since a thread that
    the keys or the socket begin would else be cut off as they are.
    """
    threading.Thread(target=work, name="beside", daemon=False).start()


class OwnAlarms:
    """The alarms of one running day among those of others, so that they can all be dropped."""

    def __init__(self, alarms: Alarms, name: str) -> None:
        self._alarms = alarms
        self._name = name
        self._keys: set[str] = set()

    def set(self, key: str, moment: datetime, action: Callable[[], None]) -> None:
        own = f"{self._name} {key}"
        self._keys.add(own)
        self._alarms.set(own, moment, action)

    def drop(self, key: str) -> None:
        self._alarms.drop(f"{self._name} {key}")

    def realign(self) -> None:
        self._alarms.realign()

    def close(self) -> None:
        """Drop all that are still set."""
        for own in self._keys:
            self._alarms.drop(own)
        self._keys.clear()


class WordsOnly:
    """A voice that makes no sound but takes its time, at a talker's usual pace."""

    def __init__(self, clock: Clock, words_a_minute: int = 170) -> None:
        self._clock = clock
        self._pace = timedelta(minutes=1) / words_a_minute
        self._quiet_from = clock.now()
        self.trouble = ""

    def prepare(self, text: str, language: str) -> None:
        """Words need no preparing."""

    def expect(self, said: Sequence[Spoken]) -> None:
        """Nor are later ones prepared."""

    def say(self, said: Sequence[Spoken], *, softly: bool) -> None:
        words = sum(len(text.split()) for text, _ in said)
        self._quiet_from = self._clock.now() + self._pace * words

    @property
    def speaking(self) -> bool:
        return self._clock.now() < self._quiet_from

    def close(self) -> None:
        self._quiet_from = self._clock.now()


class IdleFigure:
    """A figure that is not wired up: it remembers what it was told, and moves nothing."""

    patience: timedelta | None = None

    def __init__(self) -> None:
        self.told: list[str] = []

    def listen(self, told: Callable[[Report], None]) -> None:
        """It says nothing of itself."""

    def follow(self, day: Day, coming: Sequence[Slot], now: datetime) -> None:
        """It shows no plan."""

    def close(self) -> None:
        """Nothing was taken that must be given back."""

    def play(self, piece: Piece) -> None:
        self.told.append(f"play {piece.name}")

    def stop(self) -> None:
        self.told.append("stop")
