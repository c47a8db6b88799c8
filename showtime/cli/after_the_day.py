"""The command of the evening: what the day came to."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

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
    from collections.abc import Iterator, Sequence


@click.command()
@with_config
@with_day
@click.option("--journal", type=FILE, metavar="FILE", help="The day's journal.")
@click.option("--with", "other", type=FILE, metavar="JOURNAL", help="Another day, to compare.")
@click.option(
    "--out", type=FILE, metavar="WHERE", help="FILE.html, FILE.pdf, or a folder for both."
)
@click.option("--csv", "csv_folder", type=FILE, metavar="FOLDER", help="All of it as tables.")
@click.option("--share", is_flag=True, help="Without neighbours' names and typed words.")
@with_json
def report(
    config: Path | None,
    day: str,
    journal: Path | None,
    other: Path | None,
    out: Path | None,
    csv_folder: Path | None,
    share: bool,
    as_json: bool,
) -> None:
    """What the day came to, from its journal, which is left as it is.

    Who asked when and how long they waited, what started late, what became of each promise, how
    full the limits got, what was said and what went wrong. Also of a day that still runs.

    Example: showtime report --out saturday.html
    """
    from showtime.faces.report import document, lines
    from showtime.faces.written import write
    from showtime.live.account import account_in

    desk = desk_of(config)
    date, now = desk.day(day).date, desk.clock.now()
    asked = [journal, *([other] if other else [])]
    accounts = [account_in(desk.stall, now, date, path) for path in asked]
    found = [document(account, share=share) for account in accounts]
    written = [*_forms(out, found), *_tables(csv_folder, found)]
    for file, content in written:
        write(file, content)
    if as_json:
        print_json({**found[0], "with": found[1] if other else None})
    elif written:
        print_lines(f"! {note}" for each in found for note in each["notes"])
        for file, _ in written:
            say(f"written: {file}")
    else:
        for each in found:
            print_lines(lines(each))


def _forms(out: Path | None, found: Sequence[dict[str, Any]]) -> Iterator[tuple[Path, bytes]]:
    """The page, the paper, or both in a folder."""
    from showtime.faces.report import page, printed

    if out is None:
        return
    suffix = out.suffix.lower()
    if suffix not in (".html", ".htm", ".pdf") and suffix and not out.is_dir():
        raise click.UsageError(f"--out {out}: name a file ending in .html or .pdf, or a folder")
    if suffix in (".html", ".htm") or not suffix or out.is_dir():
        file = out if suffix in (".html", ".htm") else out / "report.html"
        yield file, page(found).encode("utf-8", "replace")
    if suffix == ".pdf" or not suffix or out.is_dir():
        yield out if suffix == ".pdf" else out / "report.pdf", printed(found)


def _tables(folder: Path | None, found: Sequence[dict[str, Any]]) -> Iterator[tuple[Path, bytes]]:
    from showtime.faces.report import tables

    if folder is None:
        return
    for number, each in enumerate(found):
        again = number and each["day"] == found[0]["day"]
        name = f"{each['day']}-again" if again else each["day"]
        inside = folder / name if len(found) > 1 else folder
        for table, content in tables(each).items():
            yield inside / table, content
