"""What commands share: their options, the desk, and how they print."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from showtime.live import Desk

LIMIT = 20.0
"""Seconds that the planner may take where a command does not say."""

FILE = click.Path(path_type=Path)

with_config = click.argument("config", type=FILE, required=False)
with_day = click.option(
    "--day", default="", metavar="YYYY-MM-DD", help="Default: today, or the first."
)
with_json = click.option("--json", "as_json", is_flag=True, help="One JSON document, nothing else.")
with_limit = click.option(
    "--limit",
    type=click.FloatRange(min=0.01),
    metavar="SECONDS",
    help="How long the planner may take; default: 20, for a whole fair 60.",
)
with_now = click.option("--now", default="", metavar="MOMENT", help="As if then: 2027-02-13T14:12.")
with_language = click.option(
    "--language", default="", help="Which phrase bank; default: the first."
)


def desk_of(config: Path | None) -> Desk:
    """The desk of the settings that a command was given."""
    from showtime.live import Desk

    return Desk.of(config)


def say(line: str) -> None:
    """A line that is seen at once, also through a pipe."""
    print(line, flush=True)


def complain(line: str) -> None:
    """A line for the person at the keyboard, beside what was asked for."""
    print(line, file=sys.stderr)


def print_json(document: dict[str, Any], indent: int | None = None) -> None:
    """The one document that --json prints."""
    print(json.dumps(document, ensure_ascii=False, indent=indent))


def print_lines(lines: Iterable[str]) -> None:
    """What a command tells a person."""
    for line in lines:
        print(line)
