"""Whether a stranger understands the times that the figure tells, and what would help."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from showtime.fair import Plan, ShowtimeError, Speaking
from showtime.live.desk import Desk
from showtime.live.speaking import recorded_over, voice_of
from showtime.voice import VoiceError
from showtime.voice.listening import RATE, Decibels, Heard, can_listen, listened
from showtime.voice.listening_crowd import Crowd
from showtime.wording import Bank, Clock, Kind, Situation, clock

HALF_DAY = 12 * 60
ENOUGH = 0.97
"""Of the times: so many a stranger should understand."""

_STEP = 5
_ELSEWHERE = 7
"""Beside the times that were misheard, each of so many others is tried with a change as well."""

_PACES = (-30, -15, 15, 30)
_TALK = (Kind.CLOCK_UNSET, Kind.NONE_LEFT, Kind.CALLED_OFF, Kind.LATE)
"""What a crowd talks of: no times, which a stranger might hear."""

Phrases = dict[str, int]
"""A time in words, and what it means: minutes after midnight or noon."""

Understood = Heard
"""A time as it was told and as it was understood."""


class HearingError(ShowtimeError):
    """Nobody can listen; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Share:
    """How many of the times were understood at one level above the crowd (None: no crowd)."""

    above_crowd_db: Decibels
    spoken: int
    right: int

    @property
    def share(self) -> float:
        return self.right / self.spoken if self.spoken else 1.0

    @property
    def enough(self) -> bool:
        return self.share >= ENOUGH


@dataclass(frozen=True, slots=True)
class Trial:
    """A change of the settings, and the share of some times understood with it and without."""

    change: str
    above_crowd_db: Decibels
    before: float
    after: float


@dataclass(frozen=True)
class HearingDesk:
    """A figure's voice and a stranger who listens to it."""

    desk: Desk
    bank: Bank
    speaking: Speaking
    levels: tuple[Decibels, ...]
    told: Callable[[str], None]
    seed: int = 1

    @classmethod
    def of(
        cls,
        desk: Desk,
        language: str,
        above_crowd_db: Sequence[float],
        told: Callable[[str], None],
        *,
        voice: str = "",
        words_a_minute: int | None = None,
        folder: Path | None = None,
        seed: int = 1,
    ) -> HearingDesk:
        """With the stall's own voice, but for what is named here. HearingError: nobody listens."""
        bank = desk.bank(language)
        try:
            can_listen(bank.language)
        except VoiceError as cause:
            raise HearingError(str(cause)) from cause
        speaking = desk.stall.speaking
        if voice:
            speaking = replace(speaking, voice=voice, recorded=None)
        if words_a_minute is not None:
            speaking = replace(speaking, words_a_minute=words_a_minute)
        if folder is not None:
            speaking = replace(speaking, recorded=folder)
        levels = (None, *sorted(set(above_crowd_db), reverse=True))
        return cls(desk, bank, speaking, levels, told, seed)

    def times(self, plan: Plan | None = None) -> Phrases:
        """The times to be told: a plan's, or all five-minute ones; in the bank's usual words."""
        if plan is None:
            return usual(self.bank.clock)
        starts = [plan.day.local(start) for start in plan.starts]
        return {
            self.bank.clock.idioms(at.hour, at.minute)[0]: (at.hour * 60 + at.minute) % HALF_DAY
            for at in starts
        }

    def heard(self, times: Phrases, speaking: Speaking | None = None) -> Iterator[Heard]:
        """Each time at each level, as it was understood."""
        expected = usual(self.bank.clock) | times
        return self._heard(times, expected, self.levels, speaking or self.speaking)

    def shares(self, heard: Sequence[Heard]) -> tuple[Share, ...]:
        """The same counted, level by level."""
        return tuple(
            Share(
                level,
                sum(each.above_crowd_db == level for each in heard),
                sum(each.right for each in heard if each.above_crowd_db == level),
            )
            for level in self.levels
        )

    def trials(self, heard: Sequence[Heard], times: Phrases) -> Iterator[Trial]:
        """Changes tried at the quietest crowd in which too few times are understood: other paces,
        the clearest voice, another manner of telling the time. Nothing when all is well."""
        poor = next((s.above_crowd_db for s in self.shares(heard) if not s.enough), False)
        if poor is False:
            return
        here = [each for each in heard if each.above_crowd_db == poor]
        chosen = [each for n, each in enumerate(here) if not each.right or n % _ELSEWHERE == 0]
        before = sum(each.right for each in chosen) / len(chosen)
        tried = {each.spoken: times[each.spoken] for each in chosen}
        for change, speaking, phrases in self._changes(tried):
            expected = usual(self.bank.clock) | phrases
            now = list(self._heard(phrases, expected, (poor,), speaking))
            yield Trial(change, poor, before, sum(each.right for each in now) / len(now))

    def _changes(self, times: Phrases) -> Iterator[tuple[str, Speaking, Phrases]]:
        speaking = self.speaking
        if speaking.recorded is None:
            for more in _PACES:
                pace = speaking.words_a_minute + more
                yield f"words_a_minute: {pace}", replace(speaking, words_a_minute=pace), times
            if speaking.voice:
                yield "the clearest voice (leave voice out)", replace(speaking, voice=""), times
        else:
            yield "the built-in voice", replace(speaking, recorded=None), times
        for manner in self.bank.clock.manners:
            words = usual(clock(self.bank.language, (manner,)))
            means = {minutes: phrase for phrase, minutes in words.items()}
            told = {means[minutes]: minutes for minutes in times.values() if minutes in means}
            if told and set(told) != set(times):
                yield f"clock: {manner} (in the phrase bank)", speaking, told

    def _heard(
        self, times: Phrases, expected: Phrases, levels: Sequence[Decibels], speaking: Speaking
    ) -> Iterator[Heard]:
        embedded = voice_of(speaking, self.desk.pronounced([self.bank.language]))
        voice = recorded_over(embedded, speaking, self.told)
        crowd = self._crowd if any(level is not None for level in levels) else None
        try:
            yield from listened(voice, times, expected, levels, crowd)
        except VoiceError as cause:
            raise HearingError(str(cause)) from cause

    @cached_property
    def _crowd(self) -> Crowd:
        day = self.desk.stall.days[0]
        lines = [
            line
            for kind in _TALK
            for line in self.bank.sentences(
                Situation(kind, day.hours.start, self.desk.stall.signboard), 10
            )
        ]
        return Crowd(lines, self.bank.language, RATE, self.seed)


def usual(tells: Clock) -> Phrases:
    """All five-minute times of the 12-hour clock, each in the first of its idioms that is true
    before noon and after it."""
    found: Phrases = {}
    for minutes in range(0, HALF_DAY, _STEP):
        hour, minute = divmod(minutes, 60)
        both = tells.idioms(hour + 12, minute)
        said = next((i for i in tells.idioms(hour, minute) if i in both), both[0])
        found[said] = minutes
    return found
