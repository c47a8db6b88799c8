"""The organiser on the day: a node that joins the line between stalls, and orders to it."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from showtime.cli.options import FILE, with_day, with_json

ORDERS = ("quiet", "lift", "cap", "status")


@click.command()
@click.argument("words", metavar="[FAIR.yaml] [ORDER]", nargs=-1)
@with_day
@click.option("--as-if", default="", metavar="MOMENT", help="Start the clock there, to practise.")
@click.option("--plan", type=FILE, metavar="FILE", help="Hand out this joint plan (JSON).")
@click.option("--broker", is_flag=True, help="Start a broker here: enough for a small fair.")
@click.option("--listen", default="", metavar="ADDRESS:PORT", help="Where that broker listens.")
@click.option("--at", default="", metavar="HOST:PORT", help="Join the broker that is there.")
@click.option("--line", type=FILE, metavar="FOLDER", help="Passwords and certificates are there.")
@click.option("--user", default="", help="The organiser's user; default: organiser.")
@click.option("--password-file", type=FILE, metavar="FILE", help="Its password.")
@click.option("--ca", type=FILE, metavar="FILE", help="Certificate to know the broker by (TLS).")
@click.option("--desk", default="", metavar="NAME", help="Tells several organisers apart.")
@click.option("--no-page", is_flag=True, help="The terminal alone.")
@click.option("--lan", is_flag=True, help="Page and broker also for others on this network.")
@click.option("--port", type=click.IntRange(0, 65535), default=8018, help="Of the page.")
@click.option("--setup", type=FILE, metavar="FOLDER", help="Write settings for mosquitto there.")
@with_json
def hall(words: tuple[str, ...], setup: Path | None, as_json: bool, **wanted: Any) -> None:
    """The organiser on the day: hands the joint plan to all stalls, and shows the whole hall.

    \b
    An order is for the one that runs on this machine:
    quiet MINUTES [WHY]    nothing sounds from now on, at any stall
    lift                   the quiet is over
    cap COUNT MINUTES      so many performances in any so many minutes; or: cap off
    status                 every stall, and what goes wrong; --json: as one document

    Example: showtime hall --broker --as-if 2027-02-13T10:20
    """
    config, order = _split(words)
    if setup is not None:
        from showtime.cli.hall_line import set_up
        from showtime.live import HallDesk

        set_up(HallDesk.of(config).fair, config, setup, wanted["at"])
    elif order or as_json:
        _tell(config, order or ("status",), as_json=as_json)
    else:
        from showtime.cli.hall_node import Wanted, organise

        organise(config, Wanted(**wanted))


def _split(words: Sequence[str]) -> tuple[Path | None, Sequence[str]]:
    """The fair's file, if one is named, and the order. UsageError: neither."""
    if not words or words[0].lower() in ORDERS:
        return None, words
    if len(words) > 1 and words[1].lower() not in ORDERS:
        raise click.UsageError(f"{' '.join(words[1:])}: no order; there are {', '.join(ORDERS)}")
    file = Path(words[0])
    if not file.suffix and not file.exists():
        orders = ", ".join(ORDERS)
        raise click.UsageError(f"{file}: neither a fair's file nor an order; those are {orders}")
    return file, words[1:]


def _tell(config: Path | None, order: Sequence[str], *, as_json: bool) -> None:
    from showtime.live import HallDesk, tell_hall

    reads = order[0].lower() == "status"
    if as_json and not reads:
        raise click.UsageError("--json goes with status")
    fair = HallDesk.of(config).fair.name
    good, said = tell_hall(fair, [*order, "json"] if as_json else order)
    if as_json and good:
        json.loads(said)  # what is no document is a fault, not an answer
    click.echo(said, err=not good)
    sys.exit(0 if good else 2)
