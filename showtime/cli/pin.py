"""The keeper's PIN for the remote page."""

from __future__ import annotations

import sys

import click

from showtime.cli.options import complain


@click.command()
def pin() -> None:
    """Set the PIN of the remote page. It is kept as a hash, in your own folder; nothing shows it.

    Whoever is in with the old one has to show the new one.

    Example: showtime pin
    """
    if not ask_for_pin():
        sys.exit(2)


def ask_for_pin() -> bool:
    """Have a new PIN typed, twice and unseen; False when none was set."""
    from showtime.faces.pages import PinFile, unfit

    typed = click.prompt(
        "A PIN for the remote, 6 to 12 digits", hide_input=True, default="", show_default=False
    )
    if not typed:
        complain("No PIN is set: without one there is no remote.")
        return False
    if wrong := unfit(typed):
        complain(f"No: {wrong}. Set one with: showtime pin")
        return False
    if click.prompt("Once more", hide_input=True, default="", show_default=False) != typed:
        complain("These were two different ones; nothing is set. Again: showtime pin")
        return False
    kept = PinFile.of_this_user()
    try:
        kept.set(typed)
    except OSError as error:
        complain(f"{kept.path}: cannot keep the PIN there ({error.strerror})")
        return False
    click.echo("The PIN is set. It opens /keeper beside the board, and an organiser's /hall.")
    return True


def ask_the_first_time() -> None:
    """At a terminal, while there is no PIN yet."""
    from showtime.faces.pages import PinFile

    if sys.stdin.isatty() and sys.stdout.isatty() and not PinFile.of_this_user().mark:
        click.echo("No PIN yet for the remote page; Enter leaves it shut.")
        ask_for_pin()
