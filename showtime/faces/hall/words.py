"""How the hall's figures are told: times, shares, levels and what is proven of them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from math import ceil

from showtime.fair.hall import HallDay, HallLevel, HallPlan, HallWish

CAUTION = (
    "Sound levels are estimates for a free field and certify nothing: a hall adds reflections, so "
    "measure with a sound level meter, and follow the venue's and the local noise rules and "
    "hearing-protection law."
)

WISHES = {
    HallWish.SMALLEST_SHARE: "the smallest share",
    HallWish.NEXT_SHARES: "stalls with a larger share",
    HallWish.WORTH: "total worth",
    HallWish.WAIT: "mean waits, together",
    HallWish.ROUND_TIMES: "round times",
}


def hall_clock(hall: HallDay, moment: datetime, *, seconds: bool = False) -> str:
    """`14:30` on the hall's wall clock; with seconds where there are some or they are wanted, the
    weekday after midnight, and the zone's name on a day on which clocks change."""
    local = hall.local(moment)
    shown = f"{local:%H:%M:%S}" if seconds or local.second else f"{local:%H:%M}"
    if local.date() != hall.date:
        shown = f"{local:%a} {shown}"
    opens, closes = hall.local(hall.hours.start), hall.local(hall.hours.end)
    return f"{shown} {local:%Z}" if opens.utcoffset() != closes.utcoffset() else shown


def percent(share: float) -> str:
    """Rounded down: only a whole share reads 100 %."""
    return f"{int(100 * share + 1e-6)} %"


def level_value(level: HallLevel) -> str:
    """The value as people read it."""
    return _figure(level, level.value)


def _figure(level: HallLevel, value: float) -> str:
    match level.name:
        case HallWish.SMALLEST_SHARE:
            return percent(value)
        case HallWish.WAIT:
            return f"{value:.1f} min"
        case _:
            return f"{value:.0f}" if value == round(value) else f"{value:.1f}"


def level_proof(level: HallLevel) -> str:
    """`proven`, or `within 1.3 % of the best possible`; never nearer than it is."""
    if level.proven:
        return "proven"
    if level.gap > 0.5:  # a part of so little tells nobody anything
        other = "less" if level.bound < level.value else "more"
        return f"not proven; {other} than {_figure(level, level.bound)} is impossible"
    within = ceil(level.gap * 1000 - 1e-9) / 10
    return f"within {within:g} % of the best possible"


def fairness(plan: HallPlan) -> str:
    """The line on how fair the plan is."""
    shares = plan.shares
    if not shares:
        return "No stall is open on this day."
    least = plan.smallest_share
    names = [
        name for name, share in zip(plan.hall.names, shares, strict=True) if share <= least + 1e-9
    ]
    whose = "every stall" if len(names) == len(shares) else listed(names, 3)
    return (
        f"Smallest share {percent(least)} ({whose}) of what a stall could have alone; "
        f"Jain's index {plan.jain:.3f}, 1 is fairest."
    )


def listed(names: Sequence[str], most: int) -> str:
    """`a, b and c`, or `a, b and 5 more`."""
    shown = list(names[:most]) if len(names) <= most else list(names[: most - 1])
    if len(names) > most:
        shown.append(f"{len(names) - most + 1} more")
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"


def counted(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"
