"""What commands print of a hall for a person, as lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from showtime.faces.hall.words import counted, hall_clock, listed
from showtime.faces.plain import ESTIMATE
from showtime.fair.hall import Fair, HallDay

if TYPE_CHECKING:
    from showtime.planning.hall import HallBroken, HallClash, HallWhyNot, Way


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
    yield f"{hall.date}: no joint plan is possible; at {found.stall} these rules clash:"
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


def why(hall: HallDay, found: HallWhyNot) -> Iterator[str]:
    """What stands in the stall's way then, and whether anybody could make room."""
    what = f"{hall_clock(hall, found.at)} {found.stall}, {found.piece}"
    yield f"{what}: {'allowed' if found.allowed else 'not beside the rest of the plan'}."
    if found.note:
        yield found.note
    if found.allowed:
        return
    for reason in found.reasons:
        place = f" ({reason.where})" if reason.where else ""
        yield f"  {reason.rule}: {reason.why}{place}"
    yield from _way(hall, f"{found.stall} moves its own performances alone", found.own)
    if found.neighbours is not None:
        named = list(dict.fromkeys(name for each in found.reasons for name in each.others))
        yield from _way(hall, f"{listed(named, 3)} made room", found.neighbours)
    if found.nearest is not None:
        yield f"  The nearest start that is free as all is: {hall_clock(hall, found.nearest)}."


_VERDICTS = {"would": "it would do", "not_found": "no way was found", "never": "it would not do"}


def _way(hall: HallDay, condition: str, way: Way) -> Iterator[str]:
    yield f"  If {condition}: {_VERDICTS[way.verdict.value]}{'.' if not way.moves else ':'}"
    for move in way.moves:
        to = f"to {hall_clock(hall, move.to)}" if move.to else "is left out"
        yield f"    {move.stall}: {hall_clock(hall, move.planned)} {move.piece} {to}"
