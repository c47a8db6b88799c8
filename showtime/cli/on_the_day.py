"""The commands of the live day: running it, telling it what to do, looking at its promises."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

import click

from showtime.cli.joining import joined
from showtime.cli.options import (
    FILE,
    desk_of,
    print_json,
    print_lines,
    say,
    with_config,
    with_day,
    with_json,
)

if TYPE_CHECKING:
    from showtime.fair.hall import Handout
    from showtime.fair.wiring import Input
    from showtime.live import Desk, House
    from showtime.triggers import Inputs


@click.command()
@with_config
@with_day
@click.option("--as-if", default="", metavar="MOMENT", help="Start the clock there, to practise.")
@click.option("--journal", type=FILE, metavar="FILE", help="Where the day is recorded.")
@click.option("--silent", is_flag=True, help="Words on the screen only.")
@click.option("--seed", type=int, help="The same words and luck each time.")
@click.option("--board", is_flag=True, help="Pages for a screen on the stall and for phones.")
@click.option("--lan", is_flag=True, help="With --board: also for others on this network.")
@click.option("--port", type=click.IntRange(0, 65535), default=8017, help="Of the pages.")
@click.option("--plan", "plan_file", type=FILE, metavar="FILE", help="Follow this day file.")
@click.option("--alone", is_flag=True, help="Without the fair's network that the settings name.")
@click.option("--unit", is_flag=True, help="Print a systemd unit that runs it as a service.")
def run(
    config: Path | None,
    day: str,
    as_if: str,
    journal: Path | None,
    silent: bool,
    seed: int | None,
    board: bool,
    lan: bool,
    port: int,
    plan_file: Path | None,
    alone: bool,
    unit: bool,
) -> None:
    """The live day, and the days after it. Keys stand on the screen; q or Ctrl-C ends it.

    Example: showtime run --as-if 2027-02-13T10:28
    """
    desk = desk_of(config)
    joins = desk.stall.joining is not None and not alone
    if unit:
        from showtime.live import unit_of

        pages = ["--board", "--port", str(port), *(["--lan"] if lan else [])]
        options = [
            *(["--plan", str(plan_file.absolute())] if plan_file else []),
            *(["--alone"] if alone else []),
            *(pages if board or lan else []),
        ]
        click.echo(unit_of(config, journal, options, network=joins or board or lan))
        return
    from showtime.faces import Lines, Screen, plain
    from showtime.figure import open_figure
    from showtime.live import Edges, open_house
    from showtime.triggers import Keys

    handout = handed_out(desk, plan_file, day) if plan_file else None
    if board or lan:
        tell_of_board(port, lan=lan)
    edges = Edges(figure=open_figure, hall=joined) if joins else Edges(figure=open_figure)
    wanted = day or (handout.date.isoformat() if handout else "")
    house = open_house(
        *(desk, wanted, as_if, journal), silent=silent, seed=seed, edges=edges, handout=handout
    )
    keys = Keys(house.key)
    with ExitStack() as putting_back:
        putting_back.callback(keys.close)
        keys.start()
        if desk.stall.inputs:
            putting_back.callback(take_up(desk.stall.inputs, house).close)
        if board or lan:
            putting_back.callback(open_board(house, port, lan=lan))
        house.live(Screen() if sys.stdout.isatty() else Lines(say))
    print_lines(plain.day_end(house.day.state))


def handed_out(desk: Desk, file: Path, day: str) -> Handout:
    """What the stall is handed for the day; where that breaks a rule, it is told, and not run."""
    from showtime.faces import plain
    from showtime.live import HandoutError, handout_in

    handout = handout_in(file, desk.stall.days)
    if day and handout.date != desk.day(day).date:
        raise HandoutError(f"{file}:1:1: this is handed out for {handout.date}, not for {day}")
    chosen, found = desk.broken_by(handout)
    if found:
        print_lines(plain.broken(chosen, found))
        sys.exit(1)
    return handout


def take_up(wired: Sequence[Input], house: House) -> Inputs:
    """What is there to press, turn and walk past, from now on heard in the house."""
    from showtime.triggers import Inputs

    inputs = Inputs(wired, house.hands, house.note)
    trouble = inputs.start()
    house.note("; ".join(filter(None, (house.shown, trouble))))
    return inputs


def open_board(house: House, port: int, *, lan: bool) -> Callable[[], None]:
    """The stall's pages, and how to close them. Without them the day goes on, and says why."""
    from showtime.faces.pages import PagesError, open_pages

    try:
        pages = open_pages(house, port, lan=lan)
    except PagesError as error:
        house.note(str(error))
        return lambda: None
    house.note("; ".join(filter(None, (house.shown, f"board: {pages.where.url}"))))
    return pages.close


def tell_of_board(port: int, *, lan: bool) -> None:
    """Where the pages will be, and who can see them: read before the screen begins."""
    from showtime.cli.pin import ask_the_first_time
    from showtime.faces.pages import announced

    ask_the_first_time()
    print_lines(announced(port, lan=lan))
    if lan and sys.stdin.isatty() and sys.stdout.isatty():
        click.pause("Press a key, and the day begins.")


@click.command()
@click.argument("words", nargs=-1, required=True)
@click.option("--config", type=FILE, help="The settings of the stall whose day is running.")
@click.option("--would", is_flag=True, help="Only tell what it would change.")
def tell(words: tuple[str, ...], config: Path | None, would: bool) -> None:
    """Tell a running day what to do. It answers with what that changes.

    \b
    play [PIECE]       a performance now, if the rules allow it
    hold [WHY]         stop everything at once
    release            go on after a hold or a restart
    skip               leave the next start out
    late MINUTES       the next start comes so much later
    off TIME           call one start off
    add TIME [PIECE]   one more start
    set TIME [PIECE]   the next performance is then
    accept             take the time offered for a forbidden one, within two minutes
    quiet MINUTES [WHY], quiet FROM UNTIL [WHY]
    close TIME         close early
    piece NAME         pick the next piece
    undo               take the last action back, the clock too, within a minute
    clock [DAY] TIME   the time is this; said twice if it would cost starts
    ask, status, end

    Example: showtime tell late 5
    """
    from showtime.live import tell_day

    good, said = tell_day(desk_of(config).stall, ["would", *words] if would else words)
    click.echo(said, err=not good)
    sys.exit(0 if good else 2)


@click.command()
@with_config
@with_day
@click.option("--journal", type=FILE, metavar="FILE", help="The day's journal.")
@with_json
def promises(config: Path | None, day: str, journal: Path | None, as_json: bool) -> None:
    """Every time that was said aloud, and what became of it.

    Example: showtime promises --journal saturday.journal
    """
    from showtime.faces import documents, plain

    desk = desk_of(config)
    state, found = desk.promises(desk.day(day), journal)
    document = documents.promises(state, found)
    print_json(document) if as_json else print_lines(plain.promises(document))
    sys.exit(1 if document["broken"] else 0)
