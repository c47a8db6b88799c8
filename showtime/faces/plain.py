"""What commands print for a person, as lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from showtime.faces.documents import Document
from showtime.faces.words import clock_time

if TYPE_CHECKING:
    from showtime.fair import Day, Stall
    from showtime.live import DayState
    from showtime.planning import Broken, Clash, WhyNot

ESTIMATE = "Sound, heat and charge are estimates: measure them, and follow the local rules."


def stall(found: Stall) -> Iterator[str]:
    board = found.signboard
    yield f"{board.stall}, {board.fair}: in order."
    for day in found.days:
        hours = f"{clock_time(day, day.hours.start)} to {clock_time(day, day.hours.end)}"
        yield (
            f"{day.date:%A %d %B %Y}: {hours}, {len(day.pieces)} pieces, "
            f"{len(day.quiet)} quiet intervals, {len(day.budgets)} caps"
        )
        for budget in day.budgets:
            yield f"    {budget.why}"
    yield ESTIMATE


def clash(day: Day, found: Clash) -> Iterator[str]:
    yield f"{day.date}: no plan is possible; these rules clash:"
    for rule in found.rules:
        place = f"{rule.where}: " if rule.where else ""
        yield f"{place}{rule.rule}: {rule.why}"


def why(day: Day, found: WhyNot) -> Iterator[str]:
    at = clock_time(day, found.at)
    piece = f" {found.piece}" if found.piece else ""
    yield f"{at}{piece}: {'allowed' if found.allowed else 'not beside the rest of the plan'}."
    if found.note:
        yield found.note
    for reason in found.reasons:
        place = f" ({reason.where})" if reason.where else ""
        yield f"  {reason.rule}: {reason.why}{place}"
    for move in found.moves:
        to = f"move to {clock_time(day, move.to)}" if move.to else "be left out"
        yield f"  to allow it, {clock_time(day, move.planned)} {move.piece} would have to {to}"


def broken(day: Day, found: Iterable[Broken]) -> Iterator[str]:
    several = list(found)
    for rule in several:
        place = f" ({rule.where})" if rule.where else ""
        yield f"{clock_time(day, rule.at)}  {rule.rule}: {rule.why}{place}"
    if not several:
        yield "The plan keeps every rule."


def rehearsal(document: Document) -> Iterator[str]:
    yield f"{document['day']} rehearsed in {document['seconds']:.2f} s"
    yield f"  {document['performances']} performances, asked {document['asked']} times"
    yield (
        f"  {document['promises']} promises: {document['kept']} kept, "
        f"{document['apologised']} changed with an apology, "
        f"{document['for_tomorrow']} for tomorrow, {document['broken_promises']} broken"
    )
    for rule in document["broken"]:
        yield f"  broken: {rule['rule']} at {rule['at']}"
    if not document["broken"]:
        yield "  no rule broken"


def promises(document: Document) -> Iterator[str]:
    for row in document["promises"]:
        told, said = row["told"][11:16], row["first_said"][11:16]
        times = _times(row["times"])
        line = (
            f"{told}  {row['outcome']:<8} said {times} from {said} ({', '.join(row['triggers'])})"
        )
        if row["outcome"] == "changed":
            to = f"to {row['moved_to'][11:16]}" if row["moved_to"] else "called off"
            line += f"; {to}, {row['apologised']} apologies: {row['why']}"
        elif row["why"]:
            line += f"; {row['why']}"
        yield line
    yield (
        f"{document['day']}: {document['kept']} kept, {document['changed']} changed, "
        f"{document['broken']} broken, {document['open']} still to come"
    )


def _times(number: int) -> str:
    return "once" if number == 1 else f"{number} times"


def day_end(state: DayState) -> Iterator[str]:
    times = sorted(promise.outcome for promise in state.promises)
    counts = ", ".join(f"{times.count(each)} {each}" for each in dict.fromkeys(times))
    yield (
        f"{state.day.signboard.figure}: {len(state.played)} performances, "
        f"asked {_times(state.asked)}, promises: {counts or 'none'}."
    )
