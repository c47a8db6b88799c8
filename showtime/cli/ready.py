"""The command that tries everything before the fair opens."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from showtime.cli.asking import AtTerminal, Keeper, SaysYes
from showtime.cli.options import desk_of, print_json, say, with_config, with_day, with_json
from showtime.cli.trying import Trying

if TYPE_CHECKING:
    from showtime.live import Desk
    from showtime.live.readiness import Line


@click.command()
@with_config
@with_day
@click.option("--yes", is_flag=True, help="Yes, it is heard and the time is right; nothing moves.")
@click.option("--no-asking", is_flag=True, help="Only what can be tried without the keeper.")
@with_json
def ready(config: Path | None, day: str, yes: bool, no_asking: bool, as_json: bool) -> None:
    """Before opening: everything tried in under a minute, a line each.

    Plan, clock, voice, disk, phrases, whatever is wired up, and the figure's controller. At a
    terminal it asks: whether the voice is heard and the time right, and for a press of each
    button. The controller is told to stop, which must do no harm; nothing moves unless you type
    yes to that.

    ok: all is well. look: you should know. MEND: not ready, and what to do; the exit is 1.

    Example: showtime ready --no-asking
    """
    from showtime.faces import readiness as shown
    from showtime.live.readiness import Readiness
    from showtime.settings import SettingsError

    try:
        desk = desk_of(config)
    except SettingsError as error:
        if as_json:
            print_json(shown.document(_broken(error)))
        raise
    readiness = Readiness.of(desk, day)
    keeper = _keeper(desk, yes=yes, silent=no_asking or as_json)
    begun, found = desk.clock.monotonic(), list[Any]()
    width = min(shutil.get_terminal_size().columns, 100)
    if not as_json:
        say(shown.heading(readiness.day))
    for line in Trying(desk, readiness, keeper).lines():
        found.append(line)
        for text in () if as_json else shown.line(line, width):
            say(text)
    if as_json:
        print_json(shown.document(found, readiness.day))
    else:
        for text in shown.verdict(found, desk.clock.monotonic() - begun):
            say(text)
    sys.exit(1 if any(line.state == "mend" for line in found) else 0)


def _broken(error: Any) -> Iterator[Line]:
    from showtime.live.readiness import mend

    for problem in error.problems:
        yield mend("settings", str(problem), "showtime check")


def _keeper(desk: Desk, *, yes: bool, silent: bool) -> Keeper | None:
    if yes:
        return SaysYes()
    if silent or not (sys.stdin.isatty() and sys.stdout.isatty()):
        return None
    return AtTerminal(desk.clock.monotonic)
