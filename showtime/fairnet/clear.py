"""Whether a claim that is held may begin now: nobody else can still be sounding who may not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from showtime.fairnet.claims import Bond, Claim, When
from showtime.fairnet.pace import Pace
from showtime.fairnet.peers import Peer


def is_clear(
    claim: Claim,
    epoch: int,
    bonds: Iterable[Bond],
    peers: Mapping[str, Peer],
    when: When,
    pace: Pace,
) -> bool:
    """True when in every bond fewer than `most` others can be sounding beside this claim.

    Such are those that sound, and those whose claims overlap it and have not given it leave. Where
    one is late, or sounds, of a time that does not overlap, leave decides nothing: of those that
    might then come together the one that was to begin last counts all others.
    """
    for bond in bonds:
        others = [peers[name] for name in bond.stalls if name in peers]
        strays = any(peer.strays(claim.span, when, pace) for peer in others)
        sounding = sum(
            _may_sound(peer, claim, epoch, when, pace)
            or (strays and peer.began_by(claim.span.start, when, pace))
            for peer in others
        )
        if sounding >= bond.most:
            return False
    return True


def _may_sound(peer: Peer, claim: Claim, epoch: int, when: When, pace: Pace) -> bool:
    granted = peer.grants(claim.number, epoch)
    return peer.sounds(when, pace) or (not granted and peer.overlaps(claim.span, when, pace))
