"""A stall's own claims, from when its day wants a time until that is over."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime, timedelta

from showtime.fair import Span
from showtime.fairnet.claims import Claim, Rank, Wanted, When
from showtime.fairnet.pace import Pace

_EXACT = timedelta(seconds=1)


class OwnClaims:
    """All that one stall claims. `changed` counts up with every change that others have to hear."""

    def __init__(self, stall: str, pace: Pace) -> None:
        self.changed = 0
        self._stall, self._pace = stall, pace
        self._claims: dict[int, Claim] = {}
        self._spans: dict[Span, int] = {}
        self._number = 0
        self._wanted: tuple[Wanted, ...] = ()
        self._wanted_spans: dict[Span, Wanted] = {}
        self._asked: dict[int, float] = {}
        self._begun: dict[int, float] = {}
        self._latest: dict[int, datetime] = {}

    def __iter__(self) -> Iterator[Claim]:
        return iter(tuple(self._claims.values()))

    def __len__(self) -> int:
        return len(self._claims)

    def known(self, number: int) -> bool:
        return number in self._claims

    def meeting(self, span: Span) -> list[Claim]:
        return [claim for claim in self._claims.values() if claim.span.meets(span)]

    def unclaimed(self, now: datetime) -> list[Wanted]:
        """What the day wants and is not claimed yet."""
        return [w for w in self._wanted if w.span not in self._spans and w.span.end > now]

    def make(self, want: Wanted, above: Iterable[Rank], when: When) -> Claim:
        """A new claim, which ranks after all those `above`."""
        self._number += 1
        rank = Rank(want.order, int(when.at.timestamp() * 1000), self._stall)
        for each in above:
            rank = rank.after(each)
        claim = Claim(self._number, want.span, rank, want.span.end, want.promised)
        self._spans[claim.span] = claim.number
        self.change(claim)
        return claim

    def ask(self, span: Span, above: Iterable[Rank], when: When) -> Claim:
        """A claim for what the day did not say it wants; forgotten unless it is asked again."""
        claim = self.make(Wanted(span), above, when)
        self._asked[claim.number] = when.steady
        return claim

    def asked_again(self, claim: Claim, when: When) -> None:
        if claim.number in self._asked:
            self._asked[claim.number] = when.steady

    def change(self, claim: Claim) -> None:
        if self._claims.get(claim.number) != claim:
            self._claims[claim.number] = claim
            self.changed += 1

    def drop(self, claim: Claim) -> None:
        del self._claims[claim.number]
        if self._spans.get(claim.span) == claim.number:
            del self._spans[claim.span]
        self._asked.pop(claim.number, None)
        self._begun.pop(claim.number, None)
        self._latest.pop(claim.number, None)
        self.changed += 1

    def begin(self, claim: Claim, span: Span, when: When) -> None:
        """It has leave to begin now, and counts as begun.

        The day takes a moment from here to the first sound: so much later it may end.
        """
        soon = timedelta(seconds=self._pace.patience)
        self._begun.setdefault(claim.number, when.steady)
        self._sound(claim, min(span.end + soon, self._may_end(claim)))

    def _sound(self, claim: Claim, ends: datetime) -> None:
        claim = replace(claim, sounding=True, ends=max(ends, claim.ends))
        self._latest.setdefault(claim.number, claim.ends)
        self.change(claim)

    def _may_end(self, claim: Claim) -> datetime:
        """Until then others mind it, whatever they heard of it last: nothing that ends later may
        sound by it. Once it was told as sounding, that is the end that was told, and stays so."""
        late = timedelta(seconds=self._pace.late)
        return self._latest.get(claim.number, claim.span.end + late)

    def covering(self, span: Span) -> Claim | None:
        """The claim that is meant: it begins no later, and others mind it to the end of `span`.

        So a start that is late has what it claimed: whoever comes next waits until it is said to
        be over. One whose whole time has passed asks anew.
        """
        meant = [
            claim
            for claim in self._claims.values()
            if claim.span.start - _EXACT <= span.start < claim.span.end
            and span.end <= self._may_end(claim)
        ]
        return max(meant, key=lambda claim: _fits(claim, span), default=None)

    def follow(self, wanted: Iterable[Wanted], playing: Span | None, when: When) -> None:
        """What the day means to do now, and what it plays: the rest is let go."""
        self._wanted = tuple(wanted)
        self._wanted_spans = {want.span: want for want in self._wanted}
        plays = self.covering(playing) if playing is not None else None
        for claim in self:
            if claim != plays:
                self._let_go(claim, when)
        if playing is not None and not (plays and plays.sounding):
            self._sound(plays or self.make(Wanted(playing), (), when), playing.end)

    def _let_go(self, claim: Claim, when: When) -> None:
        """Drop it when the day does not want it, nor has just asked for it; and what was allowed
        to begin and did not is no longer taken for begun."""
        want = self._wanted_spans.get(claim.span)
        if want is None and claim.number not in self._asked:
            self.drop(claim)
            return
        begun = self._begun.get(claim.number)
        if claim.sounding and (begun is None or when.steady - begun > self._pace.patience):
            self._begun.pop(claim.number, None)
            claim = replace(claim, sounding=False, ends=claim.span.end)
        self.change(replace(claim, promised=want.promised) if want else claim)

    def forget_asked(self, when: When) -> None:
        """Let go of what was asked for once and not again."""
        for number, asked in list(self._asked.items()):
            claim = self._claims[number]
            if claim.span in self._wanted_spans:
                del self._asked[number]
            elif when.steady - asked > self._pace.own_lease and not self._begun.get(number):
                self.drop(claim)

    def start_over(self) -> None:
        """Nobody's leave is known any more."""
        for claim in self:
            self.change(replace(claim, held=claim.sounding))


def _fits(claim: Claim, span: Span) -> tuple[bool, bool, bool, float]:
    """What sounds, else what may; then what lasts as long, then what is due first."""
    same = claim.span.length == span.length
    return claim.sounding, claim.held, same, -claim.span.start.timestamp()
