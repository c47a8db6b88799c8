"""The words of what may be asked next, ready before anybody asks."""

from __future__ import annotations

import threading
from collections.abc import Callable
from datetime import timedelta

from showtime.live.agenda import Agenda
from showtime.live.answer import answer
from showtime.live.foreseen import foreseen
from showtime.live.ready import Answer, ReadyWords
from showtime.live.state import DayState
from showtime.live.world import World
from showtime.wording import Situation

_BREATH = timedelta(milliseconds=300)
"""After an answer has begun, until the next one's words are chosen and rendered."""


class LookAhead:
    """Prepares words for the state as it stands, and in quiet moments for the half hour ahead.

    Whoever changes the state calls `now`; `lock` is held while it is looked at.
    """

    def __init__(
        self,
        world: World,
        agenda: Agenda,
        lock: threading.RLock,
        state: Callable[[], DayState],
    ) -> None:
        self._words = ReadyWords(world.banks, world.random, world.speech)
        self._agenda = agenda
        self._clock = world.clock
        self._lock = lock
        self._state = state

    def words(self, situation: Situation) -> Answer:
        """Words for `situation`: the ready ones, or others chosen now."""
        return self._words.words(situation, self._state().said)

    def now(self) -> None:
        """Have the next answer's words ready before anybody asks, and soon those of others."""
        state, moment = self._state(), self._clock.now()
        self._words.prepare(answer(state, moment), state.said)
        self.soon()

    def soon(self) -> None:
        """Not at once: rendering the next words would hold up the first sound of those before."""
        self._agenda.after_a_breath(self._clock.now() + _BREATH, self._further)

    def _further(self) -> None:
        """Have words ready for all that may come in the next half hour, one thing at a time:
        whoever asks meanwhile waits for the choice of one sentence at most."""
        state = self._state()
        coming = foreseen(state, self._clock.now())
        with self._lock:
            self._words.keep_only(coming)
        for situation in coming:
            with self._lock:
                if self._state() is not state:
                    return  # Something happened, and with it this was set again.
                self._words.choose(situation, state.said)
        with self._lock:
            if self._state() is state:
                self._words.expect(coming)
