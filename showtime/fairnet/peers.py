"""What a stall knows of one of the others: its claims, its answers, and whether it is there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from showtime.fair import Span
from showtime.fairnet.claims import Answer, Claim, Claims, When
from showtime.fairnet.pace import Pace

_NEVER = datetime.min.replace(tzinfo=UTC)


@dataclass
class Peer:
    """Another stall, as it was last heard. `given` are its claims that have our leave."""

    claims: Claims | None = None
    answer: Answer | None = None
    heard: float = 0.0
    heard_at: datetime = _NEVER
    gone: bool = False
    link: tuple[int, int] = (0, 0)
    given: set[int] = field(default_factory=set)
    refused_since: dict[int, float] = field(default_factory=dict)

    def hears(self, claims: Claims, when: When) -> bool:
        """Take in what it claims; False when that is old news."""
        if self.claims is not None and claims.version <= self.claims.version:
            return False
        if self.claims is None or claims.epoch != self.claims.epoch:
            self.given.clear()
            self.refused_since.clear()
        numbers = {claim.number for claim in claims.claims}
        self.given &= numbers
        self.refused_since = {n: at for n, at in self.refused_since.items() if n in numbers}
        self.claims, self.gone = claims, False
        self.heard, self.heard_at = when.steady, when.at
        return True

    def answers(self, answer: Answer) -> bool:
        """Take in what it answers; False when that is old news."""
        if self.answer is not None and answer.version <= self.answer.version:
            return False
        self.answer = answer
        return True

    def presence(self, epoch: int, link: int, here: bool) -> None:
        """It came, or a last will says that it went; a will of an older line is of no account."""
        if (epoch, link) >= self.link:
            self.link = (epoch, link)
            self.gone = not here

    def lost(self, when: When, pace: Pace) -> bool:
        """True when it was not heard for a lease, or never."""
        return self.claims is None or when.steady - self.heard > pace.lease

    def present(self, when: When, pace: Pace) -> bool:
        return not self.gone and not self.lost(when, pace)

    def grants(self, number: int, epoch: int) -> bool:
        """True when this run of it has given leave to our claim of that number."""
        answer = self.answer
        return (
            answer is not None
            and answer.of_epoch == epoch
            and (self.claims is None or answer.epoch == self.claims.epoch)
            and answer.grants(number)
        )

    def refuses(self, number: int, epoch: int) -> bool:
        answer = self.answer
        return answer is not None and answer.of_epoch == epoch and number in answer.refused

    def standing(self, when: When, pace: Pace) -> Iterator[Claim]:
        """Its claims that count: all while it is heard, then what it was sounding to its end."""
        if self.claims is None:
            return
        for claim in self.claims.claims:
            still = claim.sounding and self.present(when, pace)
            if still or not self._over(claim, when, pace):
                yield claim

    def _over(self, claim: Claim, when: When, pace: Pace) -> bool:
        """True when a claim of one that is not heard of, or has not begun, no longer counts.

        It counts for as long as anything may sound by it: to the end that was told once it had
        begun; before that, to the latest end that a late start would have. One that is lost may
        have begun, without anybody hearing it, what was to begin while it still trusted its leave;
        what was to begin later does not count.
        """
        grace = timedelta(seconds=pace.grace)
        if claim.sounding:
            return claim.ends + grace <= when.at
        trusted = timedelta(seconds=pace.own_lease)
        if self.lost(when, pace) and claim.span.start > self.heard_at + trusted + grace:
            return True
        return claim.ends + timedelta(seconds=pace.late) + grace <= when.at

    def with_leave(self) -> list[Claim]:
        """Its claims that have our leave."""
        claims = self.claims.claims if self.claims else ()
        return [claim for claim in claims if claim.number in self.given]

    def overlaps(self, span: Span, when: When, pace: Pace) -> bool:
        return any(claim.span.meets(span) for claim in self.standing(when, pace))

    def sounds(self, when: When, pace: Pace) -> bool:
        return any(claim.sounding for claim in self.standing(when, pace))

    def strays(self, span: Span, when: When, pace: Pace) -> bool:
        """True when it may still sound of a time before `span`, by whichever clock, or sounds of
        one after it."""
        return any(
            claim.span.end <= span.start or (claim.sounding and not claim.span.meets(span))
            for claim in self.standing(when, pace)
        )

    def began_by(self, start: datetime, when: When, pace: Pace) -> bool:
        """True when it sounds, or may sound of a time that begins by `start`."""
        return any(
            claim.sounding or claim.span.start <= start for claim in self.standing(when, pace)
        )
