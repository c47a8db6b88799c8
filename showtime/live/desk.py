"""Where commands ask: a stall's settings, opened, with the plan and the words that follow."""

from __future__ import annotations

import random
import secrets
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from showtime.fair import Day, Performance, Plan, ShowtimeError, Stall
from showtime.live.answer import answer
from showtime.live.asked import (
    Asked,
    QuestionError,
    asked_at,
    day_of,
    live_at,
    moment_of,
    piece_of,
    time_of,
)
from showtime.live.clock import JudgedClock
from showtime.live.clock.deskclock import DeskClock
from showtime.live.clock.trust import Doubted
from showtime.live.files import bank_of, plan_from, remember, remembered
from showtime.live.fold import fold
from showtime.live.moment import as_planned
from showtime.live.places import journal_path
from showtime.live.planned import planned, replanner, tomorrow
from showtime.live.state import DayState, Promise, Stage
from showtime.planning import Broken, Clash, WhyNot, broken, why_not
from showtime.settings import find_config, load_stall
from showtime.wording import Bank, Bar, Kind, Sentence, Situation, choose

if TYPE_CHECKING:
    from showtime.fair.hall import Handout
    from showtime.live.rehearsal import Rehearsed


class NoPlanError(ShowtimeError):
    """A day that cannot be planned at all: the rules that clash. An answer, not a mistake."""

    def __init__(self, day: Day, clash: Clash) -> None:
        super().__init__("no plan")
        self.day = day
        self.clash = clash


@dataclass(frozen=True)
class Desk:
    """One stall's settings with everything a command may ask of them."""

    stall: Stall
    folder: Path
    clock: JudgedClock
    _by_the_clock: set[datetime] = field(default_factory=set, compare=False, repr=False)
    """Moments that were asked about because it was then, by the machine's clock."""

    @classmethod
    def of(cls, config: Path | None) -> Desk:
        """The desk for the settings that a command was given; SettingsError: they are broken."""
        path = find_config(config, Path())
        stall = load_stall(path)
        return cls(stall, path.parent, DeskClock(stall))

    def day(self, wanted: str) -> Day:
        return day_of(self.stall, wanted, self.clock.now())

    def asked(self, day: str, now: str) -> Asked:
        asked = asked_at(self.stall, day, now, self.clock.now)
        if not now:
            self._by_the_clock.add(asked.now)
        return asked

    def live(self, day: str, as_if: str) -> Asked:
        return live_at(self.stall, day, as_if, self.clock.now())

    def plan(self, day: Day, limit: float, *, fresh: bool = False) -> Plan:
        """The day's plan; NoPlanError when rules clash. `fresh`: planned now, whatever is kept."""
        shelf = None if fresh else self._shelf
        made = planned(day, limit=limit, monotonic=self.clock.monotonic, shelf=shelf)
        if isinstance(made, Clash):
            raise NoPlanError(day, made)
        return made

    def tomorrow(self, day: Day, limit: float) -> datetime | None:
        return tomorrow(
            self.stall, day, limit=limit, monotonic=self.clock.monotonic, shelf=self._shelf
        )

    def could_be_planned(self, day: Day) -> None:
        """NoPlanError when the day's rules clash, whatever one wishes for."""
        self.plan(replace(day, wishes=replace(day.wishes, order=())), 20.0, fresh=True)

    def why_not(self, day: Day, at: str, piece: str, limit: float) -> WhyNot:
        moment, wanted = time_of(day, at), piece_of(day, piece, "--piece ")
        plan = self.plan(day, limit)
        return why_not(day, plan, moment, wanted, limit=limit, monotonic=self.clock.monotonic)

    def plan_from(self, file: Path, day: str) -> tuple[Day, list[Performance]]:
        return plan_from(file, self.stall, day, self.clock.now())

    def broken(self, day: Day, performances: Sequence[Performance]) -> tuple[Broken, ...]:
        return broken(day, performances)

    def broken_by(self, handout: Handout) -> tuple[Day, tuple[Broken, ...]]:
        """The day of what was handed out, and the rules that it breaks, others' times included."""
        from showtime.live.handout import day_with

        day = next(each for each in self.stall.days if each.date == handout.date)
        return day, broken(day_with(handout, day), handout.performances)

    def bank(self, language: str = "", file: Path | None = None) -> Bank:
        """The phrase bank of a language; of the stall's first one when none is named."""
        language = language or self.stall.signboard.languages[0]
        if file is not None:
            return bank_of(language, self.folder, file)
        if language not in self._opened:
            self._opened[language] = bank_of(language, self.folder)
        return self._opened[language]

    def sentences(
        self, plan: Plan, now: datetime, language: str, seed: int | None
    ) -> tuple[Sentence, ...]:
        """What the figure says at `now` of a day that goes as planned; not what it said lately.

        In the languages that it answers in, one after the other, or in the one that is named.

        When it is now by a clock that is not believed, it says that instead of a wrong time.
        """
        nothing_left = not plan.performances or now >= plan.starts[-1]
        state = as_planned(
            plan,
            now,
            keep_within=self.stall.keep_within,
            tomorrow=self.tomorrow(plan.day, 20.0) if nothing_left else None,
        )
        if now in self._by_the_clock and isinstance(self.clock.trust, Doubted):
            state = replace(state, doubt=self.clock.trust.why)
        said = remembered(self._said) if seed is None else ()
        luck = random.Random(secrets.randbits(64) if seed is None else seed)
        spoken = (language,) if language else self.stall.signboard.spoken
        asked = answer(state, now)
        sentences = tuple(choose(self.bank(each), asked, said, luck) for each in spoken)
        if seed is None:
            remember(self._said, [*said, *(sentence.text for sentence in sentences)])
        return sentences

    def situation(self, kind: str, at: str, now: str) -> Situation:
        """A situation put together by hand, to see what may be said in it."""
        known = [each.value for each in Kind]
        if kind not in known:
            raise QuestionError(f"--situation {kind}: no such one; there are {', '.join(known)}")
        day = self.stall.days[0]
        told = time_of(day, at, "--at ") if at else None
        moment = moment_of(self.stall, now, "--now") if now else (told or day.hours.start)
        piece = day.pieces[0].name
        board, bars = self.stall.signboard, frozenset(Bar)
        return Situation(Kind(kind), moment, board, at=told, piece=piece, bars=bars)

    def promises(self, day: Day, journal: Path | None) -> tuple[DayState, tuple[Promise, ...]]:
        """The day as its journal has it, and every promise of it as things stand now."""
        from showtime.live.ledger import looked_at, promises_at

        events = tuple(looked_at(journal or journal_path(self.stall, day.date)))
        state = fold(DayState(day, self.stall.keep_within), events)
        ended = state.last_at if state.stage is Stage.ENDED else None
        return state, promises_at(state, ended or self.clock.now())

    def banks(self) -> dict[str, Bank]:
        """All phrase banks, read anew: the maker may have changed them since."""
        self._opened.clear()
        return {language: self.bank(language) for language in self.stall.signboard.languages}

    def pronounced(self, languages: Sequence[str] = ()) -> dict[str, Mapping[str, str]]:
        """For each language, or these, the words that are spelt otherwise for the voice."""
        return {
            language: self.bank(language).pronounced
            for language in languages or self.stall.signboard.languages
        }

    def write_wav(self, said: Sequence[Sentence], file: Path, told: Callable[[str], None]) -> None:
        """The words in a sound file, as the figure would say them. SpeakingError: it cannot."""
        from showtime.live.speaking import record

        record(self.stall.speaking, self._pronounced_in(said), said, file, told)

    def speak(self, said: Sequence[Sentence], told: Callable[[str], None]) -> None:
        """Say it and wait until it was said. What hinders that is a line to `told`."""
        from showtime.live.speaking import say_now

        say_now(self.stall.speaking, self._pronounced_in(said), said, told)

    def _pronounced_in(self, said: Sequence[Sentence]) -> dict[str, Mapping[str, str]]:
        return self.pronounced([sentence.language for sentence in said])

    def rehearse(self, plan: Plan, seed: int) -> tuple[Rehearsed, float]:
        """A whole day in simulated time, and the real seconds that it took."""
        from showtime.live.rehearsal import rehearse

        begun = self.clock.monotonic()
        rehearsed = rehearse(
            self.stall,
            plan,
            self.banks(),
            replanner(self.clock.monotonic),
            seed=seed,
            tomorrow=self.tomorrow(plan.day, 20.0),
        )
        return rehearsed, self.clock.monotonic() - begun

    @cached_property
    def _opened(self) -> dict[str, Bank]:
        return {}

    @cached_property
    def _shelf(self) -> Path:
        from platformdirs import user_cache_path

        return user_cache_path("showtime") / "plans"

    @cached_property
    def _said(self) -> Path:
        from platformdirs import user_state_path

        return user_state_path("showtime") / "said.json"
