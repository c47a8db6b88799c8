"""The command that puts a day into a folder for the figure's controller, and checks it."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from showtime.cli.options import (
    FILE,
    complain,
    desk_of,
    print_json,
    print_lines,
    with_config,
    with_day,
    with_json,
)


@click.command()
@click.argument("folder", type=FILE)
@with_config
@with_day
@click.option("--language", default="", help="Which phrase bank; default: those it answers in.")
@click.option("--rate", type=click.Choice(["22050", "44100"]), default="22050", help="Samples/s.")
@click.option(
    "--limit", type=click.FloatRange(min=0.1), default=16.0, metavar="MB", help="Default: 16."
)
@click.option(
    "--answers",
    type=click.IntRange(1, 60),
    help="So many sentences for each start; default: what fits, 12 to 24.",
)
@click.option("--seed", type=int, default=1, help="Another seed, other sentences; default: 1.")
@click.option("--verify", is_flag=True, help="Only check the pack that is in the folder.")
@with_json
def pack(
    folder: Path,
    config: Path | None,
    day: str,
    language: str,
    rate: str,
    limit: float,
    answers: int | None,
    seed: int,
    verify: bool,
    as_json: bool,
) -> None:
    """What a controller needs to do a day alone: clips, plan and answers, in FOLDER.

    Example: showtime pack my-pack --day 2027-02-13
    """
    from showtime.faces import packing

    desk = desk_of(config)
    if verify:
        from showtime.figure import wrong_with

        wrong = wrong_with(desk, folder)
        if as_json:
            print_json({"folder": str(folder), "wrong": wrong})
        else:
            print_lines(packing.verified(folder, wrong))
        sys.exit(1 if wrong else 0)
    from showtime.figure import Wanted, make_pack

    wanted = Wanted(int(rate), round(limit * 1_000_000), answers, seed)
    document = packing.document(make_pack(desk, folder, wanted, day=day, language=language))
    print_json(document) if as_json else print_lines(packing.lines(document))
    if document["own_voice"] and document["embedded"]:
        complain(
            f"{document['embedded']} of the clips are not in the recorded voice; what is missing: "
            "showtime voice check"
        )
