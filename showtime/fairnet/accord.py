"""Who may sound when: one stall's side of the accord among all of them. No clock, no network.

Every stall tells all others its claims, each a span with a rank that never changes, and answers
theirs. A claim is held, and may sound, once in every bond (of n stalls at most m at once) all
others but m - 1 have given leave. Leave is given to what meets no claim of one's own that is held
or ranks before it, and is never taken back; a claim made later ranks after all that has leave. So
among stalls that overlap whoever gave leave ranks after whom it was given to, and the last of m + 1
would lack the leave of m (after Ricart and Agrawala, CACM 24, 1981, and Raymond, IPL 30, 1989, both
from memory). As all that is told are whole states with growing numbers, nothing that is
lost, late, doubled or out of order does harm.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import timedelta

from showtime.fair import Span
from showtime.fairnet.claims import Answer, Bond, Claim, Claims, Rank, Wanted, When
from showtime.fairnet.pace import Pace
from showtime.fairnet.peers import Peer
from showtime.live.hall import Leave

_EXACT = timedelta(seconds=1)


class Accord:
    """One stall among the others. After anything else, what `take` returns is to be told."""

    def __init__(self, me: str, epoch: int, pace: Pace) -> None:
        self.me = me
        self.epoch = epoch
        self.pace = pace
        self.bonds: tuple[Bond, ...] = ()
        self.ruled = False
        self.own: dict[int, Claim] = {}
        self.peers: dict[str, Peer] = {}
        self._wanted: tuple[Wanted, ...] = ()
        self._asked: dict[int, float] = {}
        self._begun: dict[int, float] = {}
        self._number = self._serial = 0
        self._connected: float | None = None
        self._heard_since: set[str] = set()
        self._arrived = False
        self._sent: dict[int, float] = {}
        self._echoed = float("-inf")
        self._tell_claims = True
        self._told: dict[str, tuple[int, int, tuple[int, ...]]] = {}
        self._answer_again: set[str] = set()

    # What happens

    def connected(self, when: When) -> None:
        """The line is there (again): whatever holds is about to be heard."""
        self._connected = when.steady
        self._heard_since.clear()
        self._sent.clear()
        self._arrived = False
        self._tell_claims = True
        self._told.clear()

    def follows_epoch(self, epoch: int) -> None:
        """An earlier run told claims of this epoch, by a clock that was ahead: go on after it."""
        if epoch >= self.epoch:
            self.epoch = epoch + 1
            self.own = {n: replace(c, held=c.sounding) for n, c in self.own.items()}
            self._sent.clear()
            self._tell_claims = True

    def rules(self, bonds: Iterable[Bond], when: When) -> None:
        """The hall's rules, as far as they bind this stall; they replace any before."""
        mine = tuple(bond for bond in bonds if self.me in bond.stalls)
        if self.ruled and mine == self.bonds:
            return
        self.bonds = mine
        self._tell_claims |= not self.ruled
        self.ruled = True
        for claim in list(self.own.values()):
            if claim.held and not claim.sounding and not self._has_leave(claim, when):
                self.own[claim.number] = replace(claim, held=False)
                self._tell_claims = True
        self._settle(when)

    def hear_claims(self, claims: Claims, when: When) -> None:
        if claims.stall == self.me:
            self._echo(claims)
        else:
            self._heard_since.add(claims.stall)
            peer = self.peers.setdefault(claims.stall, Peer())
            if peer.hears(claims, when) and not all(c.held for c in claims.claims):
                self._answer_again.add(claims.stall)
        self._settle(when)

    def hear_answer(self, answer: Answer, when: When) -> None:
        to_me = answer.to == self.me and answer.of_epoch == self.epoch
        if to_me and self.peers.setdefault(answer.stall, Peer()).answers(answer):
            self._settle(when)

    def hear_presence(self, stall: str, epoch: int, link: int, here: bool, when: When) -> None:
        if stall != self.me:
            self.peers.setdefault(stall, Peer()).presence(epoch, link, here)
            self._settle(when)

    def follow(self, wanted: Iterable[Wanted], playing: Span | None, when: When) -> None:
        """What the stall's own day means to do, and what it does now."""
        self._wanted = tuple(wanted)
        self._let_go(playing, when)
        if playing is not None and not any(c.sounding for c in self.own.values()):
            claim = self._covering(playing) or self._claim(Wanted(playing), when)
            self._change(replace(claim, sounding=True, ends=playing.end))
        promised = {want.span: want.promised for want in self._wanted}
        for claim in list(self.own.values()):
            now_promised = promised.get(claim.span, claim.promised)
            self._change(replace(claim, promised=now_promised))
        self._settle(when)

    def tick(self, when: When) -> None:
        """Time has passed."""
        self._settle(when)

    def beat(self) -> None:
        """Tell the claims again, changed or not: it shows that this stall is there."""
        self._tell_claims = True

    # What is asked of it

    def leave(self, span: Span, when: When) -> Leave:
        """Whether the stall may sound in `span`, which begins about now."""
        self._settle(when)
        claim = self._covering(span)
        if not self.trusting(when):
            if self._cuts(span, claim, when):
                return Leave.REFUSED
            if claim is not None:
                self._begin(claim, span, when)
            return Leave.GIVEN
        if claim is None:
            claim = self._claim(Wanted(span), when)
            self._asked[claim.number] = when.steady
            self._settle(when)
            claim = self.own.get(claim.number, claim)
        elif claim.number in self._asked:
            self._asked[claim.number] = when.steady
        if not claim.held:
            return Leave.REFUSED if self._is_refused(claim, when) else Leave.ASKED
        if claim.sounding or self._is_clear(claim, when):
            self._begin(claim, span, when)
            return Leave.GIVEN
        return Leave.ASKED

    def trusting(self, when: When) -> bool:
        """True while the line is known to work: what was claimed has come back by it lately."""
        return when.steady - self._echoed <= self.pace.own_lease

    def given(self, when: When) -> Iterator[tuple[str, Claim]]:
        """The claims of others, still standing, that bar this stall."""
        for name, peer in self.peers.items():
            for claim in peer.standing(when, self.pace):
                if claim.number in peer.given or claim.sounding:
                    yield name, claim

    def take(self, when: When) -> tuple[Claims | Answer, ...]:
        """What is to be told now, each replacing all of its kind before."""
        told: list[Claims | Answer] = []
        if self._tell_claims and self._connected is not None:
            self._tell_claims = False
            self._serial += 1
            self._sent[self._serial] = when.steady
            claims = tuple(self.own.values())
            told.append(Claims(self.me, self.epoch, self._serial, claims, self.ruled))
        for name in sorted(self._bonded() & self.peers.keys()):
            answer = self._answer(name)
            if answer is not None:
                told.append(answer)
        self._answer_again.clear()
        return tuple(told)

    # How it decides

    def _settle(self, when: When) -> None:
        """Answer others, make the claims that are wanted, and see which are held by now."""
        for name in sorted(self._bonded() & self.peers.keys()):
            self._decide(name, self.peers[name], when)
        if self._has_arrived(when):
            for want in self._wanted:
                known = any(want.span == claim.span for claim in self.own.values())
                if not known and want.span.end > when.at:
                    self._claim(want, when)
            for claim in list(self.own.values()):
                if not claim.held and self.trusting(when) and self._has_leave(claim, when):
                    self._change(replace(claim, held=True))
        self._forget_asked(when)

    def _has_arrived(self, when: When) -> bool:
        """True once all that are bound with this stall were heard, or are not there.

        Before, it may not know what leave it gave in an earlier run, and claims nothing.
        """
        if not self._arrived and self._connected is not None:
            heard = self._bonded() <= self._heard_since
            waited = when.steady - self._connected > self.pace.lease
            self._arrived = waited or (heard and self.ruled)
        return self._arrived

    def _decide(self, name: str, peer: Peer, when: When) -> None:
        for claim in peer.claims.claims if peer.claims else ():
            if claim.number in peer.given:
                continue
            meeting = [own for own in self.own.values() if own.span.meets(claim.span)]
            against = [own for own in meeting if not self._comes_after(own, claim)]
            if all(self._gives_way(own, claim, peer, when) for own in against):
                for own in against:
                    self._drop(own)
                peer.given.add(claim.number)
                peer.refused_since.pop(claim.number, None)
            else:
                peer.refused_since.setdefault(claim.number, when.steady)

    def _comes_after(self, own: Claim, other: Claim) -> bool:
        return not (own.held or own.sounding) and other.rank < own.rank

    def _gives_way(self, own: Claim, other: Claim, peer: Peer, when: When) -> bool:
        """True when one's own claim is to be made anew, ranking after the other's.

        So it is for a claim that waits while the other is held already (as this stall was not
        there when that was asked), and for an unpromised one that keeps a promised one waiting.
        """
        if own.sounding:
            return False
        if other.held and other.number not in peer.refused_since:
            return not own.held and own.rank < other.rank
        since = peer.refused_since.get(other.number, when.steady)
        waits = when.steady - since >= self.pace.patience
        return other.promised and not own.promised and waits

    def _has_leave(self, claim: Claim, when: When) -> bool:
        return all(
            sum(self._blocks(name, claim, when) for name in bond.stalls if name != self.me)
            < bond.most
            for bond in self.bonds
        )

    def _blocks(self, name: str, claim: Claim, when: When) -> bool:
        """True while this claim lacks that stall's leave, and needs it."""
        peer = self.peers.get(name)
        if peer is not None and peer.grants(claim.number, self.epoch):
            return False
        if peer is None or peer.lost(when, self.pace) or peer.gone:
            known = peer is not None and peer.overlaps(claim.span, when, self.pace)
            return known or not (self._arrived and (self._waited(when) or self._went(name)))
        if peer.claims is not None and not peer.claims.ruled:
            return peer.overlaps(claim.span, when, self.pace)
        return True

    def _waited(self, when: When) -> bool:
        return self._connected is not None and when.steady - self._connected > self.pace.lease

    def _went(self, name: str) -> bool:
        """True when it was said to have gone since this stall is on the line."""
        return name in self._heard_since and self.peers[name].gone

    def _is_refused(self, claim: Claim, when: When) -> bool:
        """True when it lacks leave for sure: others said no, or hold the time."""
        if not self._arrived:
            return False
        for bond in self.bonds:
            against = 0
            for name in bond.stalls - {self.me}:
                peer = self.peers.get(name)
                if peer is None or peer.grants(claim.number, self.epoch):
                    continue
                said_no = peer.present(when, self.pace) and peer.refuses(claim.number, self.epoch)
                absent = not peer.present(when, self.pace)
                against += said_no or (absent and peer.overlaps(claim.span, when, self.pace))
            if against >= bond.most:
                return True
        return False

    def _is_clear(self, claim: Claim, when: When) -> bool:
        """True when nobody can still be sounding who may not sound beside this claim."""
        for bond in self.bonds:
            others = [(name, self.peers.get(name)) for name in bond.stalls if name != self.me]
            count = sum(
                peer is not None
                and (
                    peer.lingers(claim.span, when, self.pace)
                    or (
                        not peer.grants(claim.number, self.epoch)
                        and peer.overlaps(claim.span, when, self.pace)
                    )
                )
                for _, peer in others
            )
            if count >= bond.most:
                return False
        return True

    def _cuts(self, span: Span, claim: Claim | None, when: When) -> bool:
        """True when, as far as was heard, too many others sound in `span` already."""
        if claim is not None and claim.held:
            return False
        barring = {name for name, theirs in self.given(when) if theirs.span.meets(span)}
        return any(len(barring & bond.stalls) >= bond.most for bond in self.bonds)

    # Its own claims

    def _claim(self, want: Wanted, when: When) -> Claim:
        self._number += 1
        rank = Rank(want.order, int(when.at.timestamp() * 1000), self.me)
        for name in sorted(self._bonded() & self.peers.keys()):
            peer = self.peers[name]
            for claim in peer.claims.claims if peer.claims else ():
                if claim.number in peer.given and claim.span.meets(want.span):
                    rank = rank.after(claim.rank)
        claim = Claim(self._number, want.span, rank, want.span.end, want.promised)
        self._change(claim)
        return claim

    def _change(self, claim: Claim) -> None:
        if self.own.get(claim.number) != claim:
            self.own[claim.number] = claim
            self._tell_claims = True

    def _drop(self, claim: Claim) -> None:
        del self.own[claim.number]
        self._asked.pop(claim.number, None)
        self._begun.pop(claim.number, None)
        self._tell_claims = True

    def _begin(self, claim: Claim, span: Span, when: When) -> None:
        self._begun.setdefault(claim.number, when.steady)
        self._change(replace(claim, sounding=True, ends=max(span.end, claim.ends)))

    def _covering(self, span: Span) -> Claim | None:
        """The own claim that is meant: it begins no later, and ends about then or later.

        A start that is late by less than the clocks may be apart is the same: whoever comes next
        waits until it is said to be over.
        """
        late = timedelta(seconds=self.pace.grace)
        meant = [
            claim
            for claim in self.own.values()
            if claim.span.start - _EXACT <= span.start < claim.span.end
            and span.end <= claim.span.end + late
        ]
        return max(meant, key=lambda c: (c.sounding, c.held, -c.number), default=None)

    def _let_go(self, playing: Span | None, when: When) -> None:
        """Drop what the day no longer wants, unless it is about to begin or was just asked for."""
        spans = {want.span for want in self._wanted}
        plays = self._covering(playing) if playing is not None else None
        for claim in list(self.own.values()):
            begun = self._begun.get(claim.number)
            waited = begun is not None and when.steady - begun > self.pace.patience
            if claim.sounding and claim != plays and waited:
                del self._begun[claim.number]
                self._change(replace(claim, sounding=False, ends=claim.span.end))
            if claim != plays and claim.span not in spans and claim.number not in self._asked:
                self._drop(claim)

    def _forget_asked(self, when: When) -> None:
        for number, asked in list(self._asked.items()):
            claim = self.own.get(number)
            if claim is None or any(want.span == claim.span for want in self._wanted):
                del self._asked[number]
            elif when.steady - asked > self.pace.own_lease and not claim.sounding:
                self._drop(claim)

    # What it tells

    def _bonded(self) -> set[str]:
        return {name for bond in self.bonds for name in bond.stalls} - {self.me}

    def _answer(self, name: str) -> Answer | None:
        """What is to be told to that stall; None when it knows already."""
        peer = self.peers[name]
        if peer.claims is None or self._connected is None:
            return None
        numbers = [claim.number for claim in peer.claims.claims]
        refused = tuple(sorted(number for number in numbers if number not in peer.given))
        seen = max(numbers, default=0)
        content = peer.claims.epoch, seen, refused
        if self._told.get(name) == content and name not in self._answer_again:
            return None
        if not numbers and name not in self._told:
            return None
        self._told[name] = content
        self._serial += 1
        return Answer(self.me, name, self.epoch, self._serial, *content)

    def _echo(self, claims: Claims) -> None:
        if claims.epoch == self.epoch and claims.serial in self._sent:
            self._echoed = max(self._echoed, self._sent.pop(claims.serial))
            self._sent = {n: at for n, at in self._sent.items() if n > claims.serial}
