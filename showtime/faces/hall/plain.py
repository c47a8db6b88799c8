"""What commands print of a hall for a person, as lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from showtime.faces.hall.words import counted, hall_clock, listed
from showtime.faces.plain import ESTIMATE
from showtime.fair.hall import Fair, HallDay

if TYPE_CHECKING:
    from showtime.planning.hall import HallBroken, HallClash


def fair(found: Fair) -> Iterator[str]:
    """That a fair's settings are in order, and what is in them."""
    yield f"{found.name}: in order."
    for date, hours in found.hours:
        hall = found.hall(date)
        if hall is None:
            continue
        opens, closes = hall_clock(hall, hours.start), hall_clock(hall, hours.end)
        yield f"{date:%A %d %B %Y}: {opens} to {closes}, {counted(len(hall.names), 'stall')} open"
    for stand in found.stands:
        where = f"{stand.place.x_m:g} m, {stand.place.y_m:g} m"
        yield f"    {stand.name} ({where}){f': {stand.file}' if stand.file else ''}"
    for rule in found.together:
        yield f"  {rule.why}"
    for noise in found.noise:
        whose = listed(noise.at, 3) if noise.at else "every stall"
        because = f"{noise.because}: " if noise.because else ""
        yield f"  {because}of all others together at most {noise.limit_dba:g} dBA at {whose}"
    yield ESTIMATE


def clash(hall: HallDay, found: HallClash) -> Iterator[str]:
    yield f"{hall.date}: no joint plan is possible; these rules of {found.stall} clash:"
    for rule in found.clash.rules:
        place = f"{rule.where}: " if rule.where else ""
        yield f"{place}{rule.rule}: {rule.why}"


def broken(hall: HallDay, found: Iterable[HallBroken], judged: Iterable[str]) -> Iterator[str]:
    """Who breaks what, when, beside whom; `judged`: the stalls that brought a plan."""
    several = list(found)
    for each in several:
        place = f" ({each.where})" if each.where else ""
        who = f"{each.stall} with {listed(each.others, 4)}" if each.others else each.stall
        yield f"{hall_clock(hall, each.at)}  {who}: {each.rule}: {each.why}{place}"
    names = list(judged)
    if several:
        whose = list(dict.fromkeys(each.stall for each in several))
        yield f"{counted(len(several), 'broken rule')}, at {listed(whose, 4)}."
    else:
        yield f"{counted(len(names), 'stall')}: every rule is kept."
