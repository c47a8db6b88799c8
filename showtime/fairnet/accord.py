"""Who may sound when: one stall's side of the accord among all of them. No clock, no network.

Every stall tells all others its claims, each a span with a rank that never changes, and answers
theirs. A claim is held, and may sound, once in every bond (of n stalls at most m at once) all
others but m - 1 have given leave. Leave is given to what meets no claim of one's own that is held
or ranks before it, and is never taken back; a claim made later ranks after all that has leave. So
among stalls that overlap whoever gave leave ranks after whom it was given to, and the last of
m + 1 can have it of none of them: after Ricart and Agrawala (CACM 24, 1981) and Raymond (IPL 30,
1989), both from memory. All that is told are whole states with growing numbers, so nothing that is
lost, late, doubled or out of order does harm.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from showtime.fair import Span
from showtime.fairnet.claims import Answer, Bond, Claim, Claims, Rank, Wanted, When
from showtime.fairnet.clear import is_clear
from showtime.fairnet.echo import Echo
from showtime.fairnet.ownclaims import OwnClaims
from showtime.fairnet.pace import Pace
from showtime.fairnet.peers import Peer
from showtime.live.hall import Leave


class Accord:
    """One stall among the others. After anything else, what `take` returns is to be told.

    `news` counts up whenever something was heard that may change what is `given`.
    """

    def __init__(self, me: str, epoch: int, pace: Pace) -> None:
        self.me, self.epoch, self.pace = me, epoch, pace
        self.bonds: tuple[Bond, ...] = ()
        self.ruled, self._ruled_at = False, 0.0
        self.news = 0
        self.own = OwnClaims(me, pace)
        self.peers: dict[str, Peer] = {}
        self._bonded: tuple[str, ...] = ()
        self._serial = 0
        self._connected: float | None = None
        self._heard_since: set[str] = set()
        self._arrived = False
        self._echo = Echo()
        self._tell_claims = True
        self._told_of_own = 0
        self._told: dict[str, tuple[int, int, tuple[int, ...]]] = {}
        self._answer_again: set[str] = set()

    def connected(self, when: When) -> None:
        """The line is there (again): whatever holds is about to be heard."""
        self._connected = when.steady
        self._heard_since.clear()
        self._echo.forget()
        self._told.clear()
        self._arrived = False
        self._tell_claims = True

    def follows_epoch(self, epoch: int) -> None:
        """An earlier run told claims of this epoch, by a clock that was ahead: go on after it."""
        if epoch >= self.epoch:
            self.epoch = epoch + 1
            self.own.start_over()
            self._echo.forget()
            self._tell_claims = True

    def rules(self, bonds: Iterable[Bond], when: When) -> None:
        """The hall's rules, as far as they bind this stall; they replace any before."""
        mine = tuple(bond for bond in bonds if self.me in bond.stalls)
        if self.ruled and mine == self.bonds:
            return
        self._ruled_at = self._ruled_at if self.ruled else when.steady
        self.bonds, self.ruled, self._tell_claims = mine, True, True
        self.news += 1
        others = {name for bond in mine for name in bond.stalls} - {self.me}
        self._bonded = tuple(sorted(others))
        for claim in self.own:
            if claim.held and not claim.sounding and not self._has_leave(claim, when):
                self.own.change(replace(claim, held=False))
        self._settle(when)

    def hear_claims(self, claims: Claims, when: When) -> None:
        if claims.stall == self.me:
            if claims.epoch == self.epoch:
                self._echo.heard(claims.serial)
                self._settle(when, ())
            return
        self._heard_since.add(claims.stall)
        peer = self.peers.setdefault(claims.stall, Peer())
        known = peer.claims
        if peer.hears(claims, when):
            self.news += known is None or known.claims != claims.claims
            if not all(claim.held for claim in claims.claims):
                self._answer_again.add(claims.stall)
            self._settle(when, (claims.stall,))

    def hear_answer(self, answer: Answer, when: When) -> None:
        to_me = answer.to == self.me and answer.of_epoch == self.epoch
        if to_me and self.peers.setdefault(answer.stall, Peer()).answers(answer):
            self._settle(when, ())

    def hear_presence(self, stall: str, epoch: int, link: int, here: bool, when: When) -> None:
        if stall != self.me:
            self.peers.setdefault(stall, Peer()).presence(epoch, link, here)
            self.news += 1
            self._settle(when, ())

    def follow(self, wanted: Iterable[Wanted], playing: Span | None, when: When) -> None:
        """What the stall's own day means to do, and what it does now."""
        self.own.follow(wanted, playing, when)
        self._settle(when)

    def tick(self, when: When) -> None:
        """Time has passed."""
        self._settle(when)

    def beat(self) -> None:
        """Tell the claims again, changed or not: it shows that this stall is there."""
        self._tell_claims = True

    def leave(self, span: Span, when: When) -> Leave:
        """Whether the stall may sound in `span`, which begins about now."""
        self._settle(when)
        claim = self.own.covering(span)
        if not self.trusting(when):
            return self._leave_alone(span, claim, when)
        if claim is None:
            self.own.ask(span, self._above(span), when)
            self._settle(when, ())
            claim = self.own.covering(span)
            assert claim is not None  # it was just made
        self.own.asked_again(claim, when)
        if not claim.held:
            return Leave.REFUSED if self._is_refused(claim, when) else Leave.ASKED
        if claim.sounding or is_clear(claim, self.epoch, self.bonds, self.peers, when, self.pace):
            self.own.begin(claim, span, when)
            return Leave.GIVEN
        return Leave.ASKED

    def trusting(self, when: When) -> bool:
        """True while the line is known to work: what was claimed has come back by it lately."""
        return self._echo.age(when.steady) <= self.pace.own_lease

    def given(self, when: When) -> Iterator[tuple[str, Claim]]:
        """The claims of others, still standing, that bar this stall."""
        for name, peer in self.peers.items():
            for claim in peer.standing(when, self.pace):
                if claim.number in peer.given or claim.sounding:
                    yield name, claim

    def take(self, when: When) -> tuple[Claims | Answer, ...]:
        """What is to be told now, each replacing all of its kind before."""
        told: list[Claims | Answer] = []
        new = self._tell_claims or self.own.changed != self._told_of_own
        if new and self._connected is not None:
            self._tell_claims, self._told_of_own = False, self.own.changed
            self._serial += 1
            self._echo.said(self._serial, when.steady)
            told.append(Claims(self.me, self.epoch, self._serial, tuple(self.own), self.ruled))
        told.extend(filter(None, map(self._answer, self._bonded)))
        self._answer_again.clear()
        return tuple(told)

    def _settle(self, when: When, news_of: tuple[str, ...] | None = None) -> None:
        """Answer those with news (None: all), claim what is wanted, see what is held by now."""
        for name in self._bonded if news_of is None else news_of:
            if name in self.peers and name in self._bonded:
                self._decide(self.peers[name], when)
        if self._has_arrived(when):
            for want in self.own.unclaimed(when.at):
                self.own.make(want, self._above(want.span), when)
            if self.trusting(when):
                for claim in self.own:
                    if not claim.held and self._has_leave(claim, when):
                        self.own.change(replace(claim, held=True))
        self.own.forget_asked(when)

    def _has_arrived(self, when: When) -> bool:
        """True once all that are bound with this stall were heard, or are not there.

        Before, it may not know what leave it gave in an earlier run, and claims nothing.
        """
        if not self._arrived and self._connected is not None:
            heard = self._heard_since.issuperset(self._bonded)
            self._arrived = self._waited(when) or (heard and self.ruled)
        return self._arrived

    def _waited(self, when: When) -> bool:
        return self._connected is not None and when.steady - self._connected > self.pace.lease

    def _decide(self, peer: Peer, when: When) -> None:
        for claim in peer.claims.claims if peer.claims else ():
            if claim.number in peer.given:
                continue
            against = [own for own in self.own.meeting(claim.span) if _goes_before(own, claim)]
            if all(self._gives_way(own, claim, peer, when) for own in against):
                for own in against:
                    self.own.drop(own)
                peer.given.add(claim.number)
                self.news += 1
                peer.refused_since.pop(claim.number, None)
            else:
                peer.refused_since.setdefault(claim.number, when.steady)

    def _gives_way(self, own: Claim, other: Claim, peer: Peer, when: When) -> bool:
        """True when one's own claim is to be made anew, ranking after the other's.

        So it is for a claim that waits while the other is held already (as this stall was not
        there when that was asked), and for an unpromised one that keeps a promised one waiting.
        """
        if own.sounding:
            return False
        since = peer.refused_since.get(other.number, when.steady)
        came = self._connected if self._connected is not None else when.steady
        if other.held and (
            other.number not in peer.refused_since or since - came <= self.pace.own_lease
        ):
            return not own.held
        waits = when.steady - since >= self.pace.patience
        return other.promised and not own.promised and waits

    def _has_leave(self, claim: Claim, when: When) -> bool:
        blocking = {name for name in self._bonded if self._blocks(name, claim, when)}
        silent = {name for name in blocking if not self._says_no(name, claim, when)}
        return all(
            len(blocking & bond.stalls) < bond.most and not silent & bond.stalls
            for bond in self.bonds
        )

    def _blocks(self, name: str, claim: Claim, when: When) -> bool:
        """True while this claim lacks that stall's leave, and needs it."""
        peer = self.peers.get(name)
        if peer is None:
            return not self._waited(when)
        if peer.grants(claim.number, self.epoch):
            return False
        if not peer.present(when, self.pace):
            missed = self._waited(when) or (peer.gone and name in self._heard_since)
            return not missed or peer.overlaps(claim.span, when, self.pace)
        if peer.claims is not None and not peer.claims.ruled:
            # It may be about to be handed the rules that this stall has been handed already.
            lately = when.steady - self._ruled_at <= self.pace.lease
            return lately or peer.overlaps(claim.span, when, self.pace)
        return True

    def _is_refused(self, claim: Claim, when: When) -> bool:
        """True when it lacks leave for sure: others said no, or hold the time."""
        against = {name for name in self._bonded if self._says_no(name, claim, when)}
        return self._arrived and any(len(against & b.stalls) >= b.most for b in self.bonds)

    def _says_no(self, name: str, claim: Claim, when: When) -> bool:
        peer = self.peers.get(name)
        if peer is None or peer.grants(claim.number, self.epoch):
            return False
        if peer.present(when, self.pace):
            return peer.refuses(claim.number, self.epoch)
        return peer.overlaps(claim.span, when, self.pace)

    def _leave_alone(self, span: Span, claim: Claim | None, when: When) -> Leave:
        """Cut off, a stall goes by its plan, and by what others held when last heard."""
        if claim is None or not claim.held:
            barring = {name for name, theirs in self.given(when) if theirs.span.meets(span)}
            if any(len(barring & bond.stalls) >= bond.most for bond in self.bonds):
                return Leave.REFUSED
        if claim is not None:
            self.own.begin(claim, span, when)
        return Leave.GIVEN

    def _above(self, span: Span) -> Iterator[Rank]:
        """The ranks of all that has leave and would sound in `span`."""
        for name in self._bonded:
            peer = self.peers.get(name)
            if peer is not None:
                yield from (c.rank for c in peer.with_leave() if c.span.meets(span))

    def _answer(self, name: str) -> Answer | None:
        """What is to be told to that stall; None when it knows already."""
        peer = self.peers.get(name)
        if peer is None or peer.claims is None or self._connected is None:
            return None
        numbers = [claim.number for claim in peer.claims.claims]
        refused = tuple(sorted(number for number in numbers if number not in peer.given))
        content = peer.claims.epoch, max(numbers, default=0), refused
        if self._told.get(name) == content and name not in self._answer_again:
            return None
        if not numbers and name not in self._told:
            return None
        self._told[name] = content
        self._serial += 1
        return Answer(self.me, name, self.epoch, self._serial, *content)


def _goes_before(own: Claim, other: Claim) -> bool:
    return own.held or own.sounding or own.rank < other.rank
