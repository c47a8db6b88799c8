"""What plan, why and check do for a whole fair."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from showtime.cli.options import LIMIT, complain, print_json, print_lines, say

if TYPE_CHECKING:
    from showtime.fair.hall import HallPlan
    from showtime.live import HallDesk

HALL_LIMIT = 60.0
"""Seconds that the joint planner may take where a command does not say."""

with_hall = click.option("--hall", is_flag=True, help="Of the whole fair, not of one stall.")


def means_hall(config: Path | None, hall: bool) -> bool:
    """True when a command is about a whole fair: it says so, or a fair's file was given."""
    from showtime.settings import is_fair

    return hall or (config is not None and is_fair(config))


def plan_hall(
    config: Path | None, day: str, limit: float | None, out: Path | None, as_json: bool
) -> None:
    """Plan all stalls together; print the plan, or write the organiser's papers."""
    from showtime.faces.hall import documents, show_hall
    from showtime.faces.written import folder_for

    desk = _desk(config)
    hall = desk.day(day)
    if out is not None:
        folder_for(out)  # whoever waits for a plan is told before that it cannot be written
    with _clash_told(as_json):
        made = desk.plan(hall, limit or HALL_LIMIT, fresh=True, told=_told(as_json))
    written = _written(desk, made, out) if out is not None else []
    if as_json:
        print_json({**documents.plan(made), **({"files": written} if out is not None else {})})
        return
    if out is None:
        show_hall(made)
    for file in written:
        say(f"written: {file}")


def _told(as_json: bool) -> Callable[[str], None]:
    """How the planner gets on is for somebody who waits at a terminal."""
    return complain if sys.stderr.isatty() and not as_json else lambda line: None


def _written(desk: HallDesk, made: HallPlan, out: Path) -> list[str]:
    """All papers or, where something is in the way, none."""
    from showtime.faces.hall import joint, papers
    from showtime.faces.written import write_all

    found = papers(joint(made), out, desk.now())
    write_all(found)
    return [str(file) for file in found]


def why_hall(
    at: str,
    config: Path | None,
    day: str,
    stall: str,
    piece: str,
    limit: float | None,
    as_json: bool,
) -> None:
    """Why a stall does not perform then, and who stands in its way."""
    from showtime.faces.hall import documents, plain

    desk = _desk(config)
    hall = desk.day(day)
    asked = desk.question(hall, stall, at, piece)
    with _clash_told(as_json):
        made = desk.plan(hall, limit or HALL_LIMIT, told=_told(as_json))
    found = desk.why_not(made, asked, limit or LIMIT)
    if as_json:
        print_json(documents.why(hall, found))
    else:
        print_lines(plain.why(hall, found))
    sys.exit(0 if found.allowed else 1)


def check_hall(config: Path | None, day: str, plans: Sequence[Path], as_json: bool) -> None:
    """Check a fair's settings, or judge the plans that stalls bring."""
    from showtime.faces import documents as common
    from showtime.faces.hall import documents, plain
    from showtime.settings import SettingsError

    try:
        desk = _desk(config)
    except SettingsError as error:
        if as_json:
            print_json(common.problems(error.problems))
        raise
    if not plans:
        with _clash_told(as_json):
            for date, _ in desk.fair.hours:
                desk.could_be_planned(desk.day(date.isoformat()))
        print_json(common.problems(())) if as_json else print_lines(plain.fair(desk.fair))
        return
    judged = desk.brought(plans, day)
    found = desk.broken(judged)
    if as_json:
        print_json({**documents.broken(judged.hall, found), "judged": list(judged.stalls)})
    else:
        print_lines(plain.broken(judged.hall, found, judged.stalls))
    sys.exit(1 if found else 0)


def _desk(config: Path | None) -> HallDesk:
    from showtime.live import HallDesk

    return HallDesk.of(config)


@contextmanager
def _clash_told(as_json: bool) -> Iterator[None]:
    """Where no plan is possible that is the answer, and the rules that clash are told."""
    from showtime.faces.hall import documents, plain
    from showtime.live import NoHallPlanError

    try:
        yield
    except NoHallPlanError as answer:
        if as_json:
            print_json(documents.clash(answer.hall, answer.clash))
        for line in plain.clash(answer.hall, answer.clash):
            complain(line)
        sys.exit(1)
