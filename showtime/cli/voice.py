"""The commands about how the figure sounds."""

from __future__ import annotations

import click


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
def voice() -> None:
    """How the figure sounds: a voice that you record yourself, and how well it is understood."""
