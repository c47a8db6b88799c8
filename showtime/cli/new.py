"""Settings for a stall of one's own: six questions, and a file comes of them."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from showtime.cli.options import FILE, say

if TYPE_CHECKING:
    from showtime.settings.newstall import NewStall


@click.command()
@click.argument("file", type=FILE, required=False)
@click.option("--stall", help="The stall's name; after a comma, its fair's.")
@click.option("--figure", help="The figure's name.")
@click.option("--speaks", help="Language and time zone: English, Europe/London.")
@click.option("--days", help="Days and hours: sat 10-17, sun 10-16.")
@click.option("--pieces", help="Names and lengths: Frost Bells 4:30, The Pear Dance 7 min.")
@click.option("--quiet", help="Reasons and times: lunch 13-13:30; or none.")
@click.option("--yes", is_flag=True, help="Ask nothing; take what would stand in brackets.")
def new(file: Path | None, yes: bool, **told: str | None) -> None:
    """Settings for a stall of your own: answers six questions, writes FILE with comments.

    FILE is never one that is there already; left out, it is named after the stall.

    Example: showtime new my-stall.yaml --pieces "Frost Bells 4:30" --yes
    """
    from showtime.cli.new_asking import Asking
    from showtime.cli.new_file import free, put, unused
    from showtime.settings.newstall import file_name

    try:
        # A place where nothing can be written is told before anything is asked.
        place = free(file) if file else unused(Path("stall.yaml"))
        stall = Asking(told, yes).stall()
        written = place if file else unused(Path(file_name(stall)))
        put(written, stall)
    except KeyboardInterrupt:
        say("\nNothing is written.")
        sys.exit(1)
    _tell_what_next(written, stall)


def _tell_what_next(file: Path, stall: NewStall) -> None:
    import shlex

    from showtime.settings.newstall import shortly_before

    named = shlex.quote(f"./{file}" if str(file).startswith("-") else str(file))
    say(f"\nWritten: {file}. What comes next stands in it, commented out. Now type:")
    for command, what in (
        (f"check {named}", "after each change: whether all is in order"),
        (f"plan {named}", "the day, as far as its limits allow"),
        (f"run {named} --as-if {shortly_before(stall)}", "try it here: space asks it, q ends it"),
    ):
        say(f"  showtime {command}\n      {what}")
