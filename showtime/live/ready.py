"""The words of the answers to come, chosen and rendered before anybody asks."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from typing import TypeAlias

from showtime.live.ports import Speech
from showtime.wording import Bank, Kind, Sentence, Situation, choose, minutes_to_go

Answer: TypeAlias = tuple[Sentence, ...]
"""The same told in each of the languages that the figure answers in, one after the other."""

_Told: TypeAlias = tuple[object, ...]


class ReadyWords:
    """Keeps an answer for each situation that may come, and gives it out when it does."""

    def __init__(self, banks: Mapping[str, Bank], luck: random.Random, speech: Speech) -> None:
        self._banks = banks
        self._luck = luck
        self._speech = speech
        self._ready: dict[_Told, Answer] = {}

    def prepare(self, situation: Situation, said: Sequence[str]) -> None:
        """Have words for `situation`, which is the present one, and have them rendered at once."""
        for sentence in self.choose(situation, said):
            self._speech.prepare(sentence.text, sentence.language)

    def choose(self, situation: Situation, said: Sequence[str]) -> Answer:
        """Have words for `situation`, unlike those `said` and those that wait for others."""
        ready = self._ready_for(situation, said)
        if ready is None:
            waiting = [each.text for answer in self._ready.values() for each in answer]
            ready = self._chosen(situation, [*waiting, *said])
            self._ready[_told(situation)] = ready
        return ready

    def keep_only(self, situations: Sequence[Situation]) -> None:
        """Forget the words for everything else: it has passed, or will not come."""
        wanted = {_told(situation) for situation in situations}
        self._ready = {told: ready for told, ready in self._ready.items() if told in wanted}

    def expect(self, situations: Sequence[Situation]) -> None:
        """Have the words for these rendered whenever nothing else is to do, in their order."""
        ready = (self._ready.get(_told(situation), ()) for situation in situations)
        self._speech.expect([(each.text, each.language) for answer in ready for each in answer])

    def words(self, situation: Situation, said: Sequence[str]) -> Answer:
        """Words for `situation`: the ready ones, or others chosen now."""
        ready = self._ready_for(situation, said)
        return self._chosen(situation, said) if ready is None else ready

    def _ready_for(self, situation: Situation, said: Sequence[str]) -> Answer | None:
        """What is ready, unless it was said meanwhile or is in a mood that has passed."""
        ready = self._ready.get(_told(situation), ())
        fit = [each.text not in said and each.situation.moods <= situation.moods for each in ready]
        return ready if ready and all(fit) else None

    def _chosen(self, situation: Situation, said: Sequence[str]) -> Answer:
        spoken = situation.signboard.spoken
        return tuple(
            choose(self._banks[language], situation, said, self._luck) for language in spoken
        )


def _told(situation: Situation) -> _Told:
    """All that words may depend on; the minutes to go only where they are told."""
    minutes = None
    if situation.kind in (Kind.SOON, Kind.CALL) and situation.at is not None:
        minutes = minutes_to_go(situation.at, situation.now)
    local = situation.now.astimezone(situation.signboard.timezone)
    reasons = situation.why, situation.bars
    return situation.kind, situation.at, situation.piece, reasons, minutes, local.date()
