"""A stall's line to the rest of the hall, opened by the command that needs it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from showtime.fair import Stall
    from showtime.live.clock import Clock
    from showtime.live.hall import Hall


def joined(stall: Stall, clock: Clock) -> Hall:
    """The stall on the fair's network, as its settings name it; it is reached in the background.

    FairnetError: the line cannot be had like this.
    """
    from showtime.fairnet import Member
    from showtime.live.hall import Alone

    return Member(stall, stall.joining, clock) if stall.joining else Alone()
