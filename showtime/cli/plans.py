"""The commands about plans: the best one, why not then, and whether one keeps every rule."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from showtime.cli.hall_plan import check_hall, means_hall, plan_hall, why_hall, with_hall
from showtime.cli.options import (
    FILE,
    LIMIT,
    desk_of,
    print_json,
    print_lines,
    with_config,
    with_day,
    with_json,
    with_limit,
)


@click.command()
@with_config
@with_hall
@with_day
@with_limit
@click.option("--out", type=FILE, metavar="FOLDER", help="A whole fair's papers go there.")
@with_json
def plan(
    config: Path | None,
    hall: bool,
    day: str,
    limit: float | None,
    out: Path | None,
    as_json: bool,
) -> None:
    """Plan a day: the best that the limits allow, with the proof.

    With --hall, or a fair's file, all stalls together, fairly. --out then writes what the organiser
    shows and hands out: pages, paper, tables, calendars, and each stall's day file.

    Example: showtime plan --day 2027-02-14
    """
    from showtime.faces import documents, show_plan

    if means_hall(config, hall):
        plan_hall(config, day, limit, out, as_json)
        return
    if out is not None:
        raise click.UsageError("--out is for a whole fair's papers; add --hall, or: notice --out")
    desk = desk_of(config)
    made = desk.plan(desk.day(day), limit or LIMIT, fresh=True)
    print_json(documents.plan(made)) if as_json else show_plan(made)


@click.command()
@click.argument("at", metavar="TIME")
@with_config
@with_hall
@with_day
@click.option("--stall", default="", help="With --hall: which stall.")
@click.option("--piece", default="", help="Which piece; default: any.")
@with_limit
@with_json
def why(
    at: str,
    config: Path | None,
    hall: bool,
    day: str,
    stall: str,
    piece: str,
    limit: float | None,
    as_json: bool,
) -> None:
    """Why not then? Every rule that stands in the way, and what would have to move.

    With --hall, or a fair's file: which neighbour stands in a stall's way. Asked of the joint plan
    that `plan` made last, if the fair is still the same.

    Example: showtime why 14:30 --piece "Frost Bells"
    """
    from showtime.faces import documents, plain

    if means_hall(config, hall):
        why_hall(at, config, day, stall, piece, limit, as_json)
        return
    if stall:
        raise click.UsageError("--stall is for a whole fair; add --hall")
    desk = desk_of(config)
    chosen = desk.day(day)
    found = desk.why_not(chosen, at, piece, limit or LIMIT)
    if as_json:
        print_json(documents.why(chosen, found))
    else:
        print_lines(plain.why(chosen, found))
    sys.exit(0 if found.allowed else 1)


@click.command()
@click.argument("files", metavar="[CONFIG] [PLAN]...", type=FILE, nargs=-1)
@with_hall
@with_day
@click.option(
    "--plan",
    "plan_files",
    type=FILE,
    metavar="FILE",
    multiple=True,
    help="Judge this plan (JSON). For a whole fair: several, also tables (CSV), or a folder.",
)
@with_json
def check(
    files: tuple[Path, ...],
    hall: bool,
    day: str,
    plan_files: tuple[Path, ...],
    as_json: bool,
) -> None:
    """Check the settings, or with --plan a plan from anywhere against every rule.

    With --hall, or a fair's file: the plans that stalls bring, alone and together.

    Example: showtime check --plan plan.json
    """
    from showtime.faces import documents, plain
    from showtime.settings import SettingsError

    config, plan_files = _told_apart(files, plan_files)
    if means_hall(config, hall):
        check_hall(config, day, plan_files, as_json)
        return
    if len(plan_files) > 1:
        raise click.UsageError("several plans are judged together at a whole fair; add --hall")
    try:
        desk = desk_of(config)
    except SettingsError as error:
        if as_json:
            print_json(documents.problems(error.problems))
        raise
    if not plan_files:
        for each in desk.stall.days:
            desk.could_be_planned(each)
        print_json(documents.problems(())) if as_json else print_lines(plain.stall(desk.stall))
        return
    chosen, performances = desk.plan_from(plan_files[0], day)
    found = desk.broken(chosen, performances)
    if as_json:
        print_json(documents.broken(chosen, found))
    else:
        print_lines(plain.broken(chosen, found))
    sys.exit(1 if found else 0)


def _told_apart(
    files: tuple[Path, ...], plans: tuple[Path, ...]
) -> tuple[Path | None, tuple[Path, ...]]:
    """The settings and the plans: of `--plan stalls/*.json` all but the first come bare."""
    settings = [file for file in files if not plans or file.suffix.lower() in (".yaml", ".yml")]
    if len(settings) > 1:
        raise click.UsageError(f"one CONFIG at a time; got {' and '.join(map(str, settings))}")
    rest = tuple(file for file in files if file not in settings)
    return (settings[0] if settings else None), (*plans, *rest)
