"""A day of a stall -> everything that its controller needs to do that day alone."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from random import Random

from showtime.fair import Performance, Plan, Speaking
from showtime.figure.pack_choice import LEAST_OF_NEXT, USUAL_OF_NEXT, Answers, Choosing, drawn
from showtime.figure.pack_pieces import Piece, Pieces, Token, pieces_in
from showtime.figure.pack_setting import SENTENCES, EveryMinute, situations
from showtime.figure.pack_sound import sound_of
from showtime.figure.pack_tables import Answer, Rows, numbered, one_after_the_other, together
from showtime.figure.pack_windows import PackError, Window, windows
from showtime.live.speaking import voice_of
from showtime.planning import broken
from showtime.voice import Clip, Voice, VoiceError
from showtime.voice.recorded import read_recording, recorded_in
from showtime.wording import Bank, Kind, Situation, script_of

WORTH, ONLY_THE_FEWEST = 0.01, 9.0
"""Joins a sentence that a piece beyond the fewest must spare, as for a recorded voice; and more
than any can. Times that are dialled are joined from few words: there are 1,440 of them."""

MB = 1_000_000
_FOR_TABLES = 700_000
"""Bytes that everything but the clips takes at most, before that is known."""

_BY_TENS = timedelta(seconds=10)


@dataclass(frozen=True)
class Wanted:
    """What a pack is to be: samples a second, the most bytes, sentences of `next` for each start
    (None: as many as fit, up to a couple of dozen), and the seed of its luck."""

    rate: int = 22_050
    limit: int = 16 * MB
    answers: int | None = None
    seed: int = 1


@dataclass(frozen=True)
class Contents:
    """Everything that goes into a pack but the files that describe it."""

    plan: Plan
    tomorrow: datetime | None
    languages: tuple[str, ...]
    answers: tuple[Answer, ...]
    setting: Mapping[Kind, Sequence[Rows]]
    numbers: Mapping[Piece, int]
    sounds: Mapping[Piece, bytes]
    latest: Mapping[Performance, int]
    keep_within: timedelta


class Making:
    """A pack in the making: what may be said, in which voices, and which of it is taken."""

    def __init__(
        self,
        plan: Plan,
        tomorrow: datetime | None,
        banks: Sequence[Bank],
        speaking: Speaking,
        wanted: Wanted,
        keep_within: timedelta,
    ) -> None:
        self._plan = plan
        self._tomorrow = tomorrow
        self._banks = banks
        self._speaking = speaking
        self._wanted = wanted
        self._keep_within = keep_within
        self._voice: Voice = voice_of(speaking, {bank.language: bank.pronounced for bank in banks})
        self._sounds: dict[Piece, bytes] = {}
        self._luck = Random(wanted.seed)

    def contents(self) -> Contents:
        """All of it, within the limit; PackError: the least is already too much."""
        whole = windows(self._plan, self._tomorrow, self._banks)
        setting = self._setting()
        drawn_for = [self._drawn(whole, bank) for bank in self._banks]
        every = [answers for of_bank in drawn_for for answers in of_bank]
        self._choose(every, setting)
        answers = tuple(
            together(window, each) for window, *each in zip(whole, *drawn_for, strict=True)
        )
        return self._finished(answers, setting)

    def _finished(
        self, answers: tuple[Answer, ...], setting: Mapping[Kind, Sequence[Rows]]
    ) -> Contents:
        rows = [row for each in answers for row in each.rows]
        rows += [row for minutes in setting.values() for of_one in minutes for row in of_one]
        numbers = numbered(rows)
        return Contents(
            self._plan,
            self._tomorrow,
            tuple(bank.language for bank in self._banks),
            answers,
            setting,
            numbers,
            {piece: self._sound(piece) for piece in numbers},
            latest(self._plan, self._keep_within),
            self._keep_within,
        )

    def _choose(self, every: Sequence[Answers], setting: Mapping[Kind, Sequence[Rows]]) -> None:
        """The least first, then more while it fits."""
        rows = [row for minutes in setting.values() for of_one in minutes for row in of_one]
        said = frozenset(piece for row in rows for piece in pieces_in(row))
        choosing = Choosing(lambda piece: len(self._sound(piece)), sorted(said))
        choosing.least(every)
        room = self._wanted.limit - _FOR_TABLES
        if choosing.bytes > room:
            raise PackError(_too_much(choosing.bytes + _FOR_TABLES, self._wanted))
        choosing.more(every, room)

    def _sound(self, piece: Piece) -> bytes:
        if piece not in self._sounds:
            self._sounds[piece] = sound_of(piece, self._voice, _read, self._wanted.rate)
        return self._sounds[piece]

    def _drawn(self, whole: Sequence[Window], bank: Bank) -> list[Answers]:
        situations = [each.situation for each in whole]
        voices = self._voices(bank, situations, {each.kind for each in whole}, WORTH)
        most = self._wanted.answers or USUAL_OF_NEXT
        return [drawn(each, bank, voices, most, self._luck) for each in whole]

    def _setting(self) -> dict[Kind, list[Rows]]:
        """What is said while the clock is set, for every minute and in all languages."""
        of = {kind: situations(self._plan.day, kind) for kind in SENTENCES}
        each = [self._minutes(bank, of) for bank in self._banks]
        return {
            kind: [
                tuple(one_after_the_other(rows) for rows in zip(*minute, strict=False))
                for minute in zip(*(of_one[kind] for of_one in each), strict=True)
            ]
            for kind in SENTENCES
        }

    def _minutes(
        self, bank: Bank, of: Mapping[Kind, Sequence[Situation]]
    ) -> dict[Kind, list[list[tuple[Token, ...]]]]:
        voices = self._voices(bank, of[Kind.UNDERSTOOD], SENTENCES, ONLY_THE_FEWEST)
        every_minute = EveryMinute(bank, voices, self._luck)
        return {kind: every_minute.rows(every) for kind, every in of.items()}

    def _voices(
        self, bank: Bank, of: Sequence[Situation], kinds: Collection[Kind], worth: float
    ) -> list[Pieces]:
        """The maker's own voice first, where there is one; it says sentences that it can say
        wholly. The embedded one says the others."""
        script = script_of(bank, of, kinds=[kind for kind in Kind if kind in kinds], worth=worth)
        embedded = Pieces(Piece(bank.language, each.text) for each in script.fragments)
        own = _recorded(self._speaking, bank.language)
        return [Pieces(own), embedded] if own else [embedded]


def _recorded(speaking: Speaking, language: str) -> list[Piece]:
    if speaking.recorded is None:
        return []
    try:
        kept = recorded_in(Path(speaking.recorded), language)
    except VoiceError as cause:
        raise PackError(str(cause)) from cause
    return [Piece(language, each.text, str(each.file)) for each in kept]


def _read(piece: Piece) -> Clip:
    return read_recording(Path(piece.recorded))


def latest(plan: Plan, keep_within: timedelta) -> dict[Performance, int]:
    """By how many seconds each start may be late, no more than a promise may, without breaking a
    rule. For a controller that was held when it was due: it knows no rules."""
    found = {}
    for performance in plan.performances:
        beside = [each for each in plan.performances if each is not performance]
        late = timedelta(0)
        while late + _BY_TENS <= keep_within:
            later = Performance(performance.starts + late + _BY_TENS, performance.piece)
            # The grid is for planning, and what is fixed is fixed in the plan.
            rules = {each.rule for each in broken(plan.day, [*beside, later])}
            if rules - {"grid", "fixed"}:
                break
            late += _BY_TENS
        found[performance] = round(late.total_seconds())
    return found


def _too_much(least: int, wanted: Wanted) -> str:
    ways = [f"allow it with --limit {-(-least // MB)}"]
    if wanted.answers is None or wanted.answers > 4:
        few = min(wanted.answers or LEAST_OF_NEXT, LEAST_OF_NEXT) // 2
        ways.append(f"take fewer sentences with --answers {few}")
    if wanted.rate > 22_050:
        ways.append("half the samples with --rate 22050")
    return (
        f"the pack takes {least / MB:.1f} MB at least, and {wanted.limit / MB:g} MB is the limit; "
        + ", or ".join(ways)
    )
