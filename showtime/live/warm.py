"""How warm the motors are by what was measured, and what that makes of the day. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from showtime.fair import Day, Piece, QuietInterval, Span
from showtime.fair.budgets import Battery, Heat
from showtime.fair.warmth import Warmth, cooled_after, lagged
from showtime.live.events import Measured

if TYPE_CHECKING:
    from showtime.live.state import Played

TOO_WARM = "I have to cool down"


def heat_of(day: Day) -> Heat | None:
    """The day's limit on the motors' warmth, if it has one."""
    return next((budget for budget in day.budgets if isinstance(budget, Heat)), None)


def expected(
    day: Day, heat: Heat, measured: Measured | None, played: Sequence[Played], now: datetime
) -> float:
    """The rise at `now`: by the model, from what was last measured or else from opening.

    While a piece plays whose current was measured, its warming is scaled with the current's square
    (the loss in a winding, I^2 R).
    """
    at, rise = day.hours.start, heat.hold_k
    if measured is not None and measured.rise_mk is not None:
        at, rise = measured.at, measured.rise_mk / 1000
    for each in played:
        begins, ends = max(each.started, at), each.ended or now
        if begins >= ends:
            continue
        piece = day.piece(each.slot.piece)
        rise = lagged(rise, heat.hold_k, begins - at, heat.time_constant)
        target = _target(day, heat, piece, measured.milliamperes if measured else None)
        rise, at = lagged(rise, target, ends - begins, heat.time_constant), ends
    return lagged(rise, heat.hold_k, max(now - at, timedelta(0)), heat.time_constant)


def _target(day: Day, heat: Heat, piece: Piece, milliamperes: int | None) -> float:
    if milliamperes is None or piece.current_a <= 0:
        return piece.heat_k
    idle = next((b.idle_a for b in day.budgets if isinstance(b, Battery)), 0.0)
    share = max(milliamperes / 1000 - idle, 0.0) / piece.current_a
    return heat.hold_k + (piece.heat_k - heat.hold_k) * share**2


def warmed(day: Day, measured: Measured | None, played: Sequence[Played]) -> Day:
    """The day as planning has to see it once the motors' warmth is known.

    Too warm, they have to cool down to the limit before anything starts.
    """
    heat = heat_of(day)
    if heat is None or measured is None or measured.rise_mk is None:
        return day
    at, rise, quiet = measured.at, measured.rise_mk / 1000, day.quiet
    if rise > heat.limit:
        last = played[-1] if played else None
        if last is not None and last.ended is None:
            piece = day.piece(last.slot.piece)
            ends = max(at, last.started + piece.lasts)
            at, rise = ends, lagged(rise, piece.heat_k, ends - at, heat.time_constant)
        cool = cooled_after(rise, heat.limit, heat.hold_k, heat.time_constant)
        ready = day.hours.end if cool is None else at + cool
        if ready > at:
            quiet = (*quiet, QuietInterval("the motors have to cool down", Span(at, ready)))
        at, rise = ready, min(rise, heat.limit)
    known = replace(heat, known=Warmth(at, rise))
    others = tuple(known if budget is heat else budget for budget in day.budgets)
    return replace(day, quiet=quiet, budgets=others)
