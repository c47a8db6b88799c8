"""The words of the next answer, chosen and rendered before anybody asks."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence

from showtime.live.ports import Speech
from showtime.wording import Bank, Kind, Sentence, Situation, choose, minutes_to_go


class ReadyWords:
    """Keeps one sentence ready, and gives it out if it still says the right thing."""

    def __init__(self, banks: Mapping[str, Bank], luck: random.Random, speech: Speech) -> None:
        self._banks = banks
        self._luck = luck
        self._speech = speech
        self._ready: Sentence | None = None

    def prepare(self, situation: Situation, said: Sequence[str]) -> None:
        """Choose words for `situation` unlike those `said`, and have them rendered."""
        self._ready = self._chosen(situation, said)
        self._speech.prepare(self._ready.text, self._ready.language)

    def words(self, situation: Situation, said: Sequence[str]) -> Sentence:
        """Words for `situation`: the ready ones, or others chosen now."""
        ready = self._ready
        if ready is not None and _same_words(ready.situation, situation):
            return ready
        return self._chosen(situation, said)

    def _chosen(self, situation: Situation, said: Sequence[str]) -> Sentence:
        bank = self._banks[situation.signboard.languages[0]]
        return choose(bank, situation, said, self._luck)


def _same_words(ready: Situation, wanted: Situation) -> bool:
    """True when a sentence for `ready` says the right thing for `wanted`, only a moment later."""
    return _told(ready) == _told(wanted)


def _told(situation: Situation) -> tuple[object, ...]:
    """All that words may depend on; the minutes to go only where they are told."""
    minutes = None
    if situation.kind in (Kind.SOON, Kind.CALL) and situation.at is not None:
        minutes = minutes_to_go(situation.at, situation.now)
    local = situation.now.astimezone(situation.signboard.timezone)
    return situation.kind, situation.at, situation.piece, situation.why, minutes, local.date()
