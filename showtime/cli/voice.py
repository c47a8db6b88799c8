"""The commands about how the figure sounds."""

from __future__ import annotations

import sys

import click

from showtime.cli.options import print_json, print_lines, with_json


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
def voice() -> None:
    """How the figure sounds: a voice that you record yourself, and how well it is understood."""


@voice.command()
@with_json
def devices(as_json: bool) -> None:
    """List the sound cards, by the names that settings may use.

    Example: showtime voice devices
    """
    from showtime.faces import sounds
    from showtime.live import sound_cards

    document = sounds.devices(sound_cards())
    print_json(document) if as_json else print_lines(sounds.device_lines(document))
    sys.exit(0 if document["devices"] else 1)


@voice.command()
@click.option("--language", default="", help="Only voices that speak it: de, pt-BR, ...")
@with_json
def voices(language: str, as_json: bool) -> None:
    """List the embedded voices, by the names that settings may use, and their variants.

    Example: showtime voice voices --language de
    """
    from showtime.faces import sounds
    from showtime.live import voices_there

    document = sounds.voices(voices_there(language), language)
    print_json(document) if as_json else print_lines(sounds.voice_lines(document))
    sys.exit(0 if document["voices"] else 1)
