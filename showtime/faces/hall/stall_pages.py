"""For each stall: what it plays, who stands in its way, when it must be silent, what it hears."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from showtime.faces.hall.joint import Joint
from showtime.faces.hall.leaves import table
from showtime.faces.hall.noise import loudest
from showtime.faces.hall.standing import InTheWay, hall_wide, in_the_way
from showtime.faces.hall.words import counted, hall_clock, listed, percent
from showtime.faces.report.drawing import text_of
from showtime.faces.words import length
from showtime.fair import QuietInterval


def stall_pages(joint: Joint) -> Iterator[str]:
    """One article a stall, in the order of the hall."""
    for number in range(len(joint.hall.names)):
        yield from _one(joint, number)


def _one(joint: Joint, number: int) -> Iterator[str]:
    hall, plan = joint.hall, joint.plan
    name, given = hall.names[number], plan.performances[number]
    yield f'<article id="stall-{number + 1}"><h3>{number + 1} {text_of(name)}</h3>'
    alone, share = plan.alone[number], percent(plan.shares[number])
    could = f", of {alone} that it could have if all others kept silent: {share}" if alone else ""
    yield f"<p>{counted(len(given), 'performance')}{could}.</p>"
    if given:
        yield '<ul class="times">'
        for each in given:
            piece = text_of(each.piece.name)
            yield f"<li><b>{hall_clock(hall, each.starts)}</b> {piece}</li>"
        yield "</ul>"
    yield "<h4>Who stands in its way</h4>"
    yield from _in_its_way(joint, number)
    yield from _silences(joint, number)
    yield "<h4>What it hears of the others, estimated</h4>"
    yield from (f"<p>{text_of(loudest(hall, heard))}.</p>" for heard in joint.heard[number])
    yield "</article>"


def _in_its_way(joint: Joint, number: int) -> Iterator[str]:
    near = in_the_way(joint.plan, number)
    rules = list(dict.fromkeys(rule for each in near for rule in each.rules))
    for rule in [*rules, *hall_wide(joint.hall)]:
        those = [each.stall for each in near if rule in each.rules]
        whom = listed(those, 6) if rule.within_m is not None else "every other stall"
        why = rule.why[0].upper() + rule.why[1:]
        yield f"<p>{text_of(why)}. It counts together with {text_of(whom)}.</p>"
    if not rules and not hall_wide(joint.hall):
        yield "<p>Nobody: it shares its times with no other stall.</p>"
    if near:
        heads = ("stall", "metres", "heard here", "heard there", "plays")
        rows = [_row(joint, each) for each in near]
        yield table(heads, rows, numbers=(1, 2, 3), name="who stands in its way")


def _row(joint: Joint, each: InTheWay) -> list[str]:
    starts = ", ".join(hall_clock(joint.hall, one.starts) for one in each.plays)
    return [
        f'<a href="#stall-{each.number + 1}">{each.number + 1} {text_of(each.stall)}</a>',
        f"{each.distance_m:.1f}",
        _dba(each.heard_here_dba),
        _dba(each.heard_there_dba),
        text_of(starts) or "nothing",
    ]


def _dba(level: float | None) -> str:
    return "–" if level is None else f"{level:.0f} dBA"


def _silences(joint: Joint, number: int) -> Iterator[str]:
    """When it may not sound, because of the others or of the fair, as it is handed out."""
    quiet = joint.handouts[number].quiet
    if not quiet:
        return
    together = sum((each.forbidden.length for each in quiet), timedelta(0))
    yield (
        f"<details><summary>Silent beside others: {counted(len(quiet), 'time')}, "
        f'{length(together)} in all</summary><ul class="silent">'
    )
    for each in sorted(quiet, key=lambda one: one.span):
        yield f"<li>{_told(joint, each)}</li>"
    yield "</ul></details>"


def _told(joint: Joint, quiet: QuietInterval) -> str:
    begins, ends = (
        hall_clock(joint.hall, moment) for moment in (quiet.forbidden.start, quiet.forbidden.end)
    )
    return f"{begins} to {ends}: {text_of(quiet.why)}"
