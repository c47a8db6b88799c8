"""The way in: whatever is wrong is a line on standard error and an exit code, never a traceback."""

from __future__ import annotations

import sys
from types import TracebackType
from typing import TYPE_CHECKING

from showtime.cli import app, complain, print_json

if TYPE_CHECKING:
    from showtime.live import NoPlanError


def main() -> None:
    """Run the command line. Exit: 0 good, 1 the answer is "no", 2 wrong input."""
    from showtime.fair import ShowtimeError

    sys.excepthook = _fault
    try:
        app(prog_name="showtime")
    except ShowtimeError as error:
        from showtime.live import NoPlanError

        if isinstance(error, NoPlanError):
            _no_plan(error)
            sys.exit(1)
        complain(str(error))
        sys.exit(2)


def _no_plan(error: NoPlanError) -> None:
    from showtime.faces import documents, plain

    if "--json" in sys.argv:
        print_json(documents.clash(error.day, error.clash))
    for line in plain.clash(error.day, error.clash):
        complain(line)


def _fault(_: type[BaseException], fault: BaseException, traceback: TracebackType | None) -> None:
    from showtime.live import tell_fault

    tell_fault(fault, traceback, complain)


if __name__ == "__main__":
    main()
