"""Faults of the program itself: a line for the keeper, the rest in a file, and the day goes on."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable
from pathlib import Path
from types import TracebackType

Told = Callable[[str], None]
_MOST = 1_000_000
"""Bytes that the file may reach before it begins anew."""


def watch(told: Told) -> None:
    """From now on tell every fault that nobody dealt with, on whichever thread, to `told`.

    Faults in alarms come in as log records, since the scheduler catches and logs them.
    """
    import logging

    class Handler(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            if record.exc_info and record.exc_info[1] is not None:
                tell_fault(record.exc_info[1], record.exc_info[2], told)

    def on_thread(fault: threading.ExceptHookArgs) -> None:
        if fault.exc_value is not None:
            tell_fault(fault.exc_value, fault.exc_traceback, told)

    logging.getLogger("apscheduler").addHandler(Handler(logging.ERROR))
    threading.excepthook = on_thread
    sys.excepthook = lambda _, fault, traceback: tell_fault(fault, traceback, told)


def tell_fault(fault: BaseException, traceback: TracebackType | None, told: Told) -> None:
    """One line to `told`; where the fault arose goes to a file that can be sent to us."""
    what = f"{type(fault).__name__}: {fault}".splitlines()[0][:200]
    told(f"A fault in the program itself ({what}); {_written(fault, traceback)}")


def _written(fault: BaseException, traceback: TracebackType | None) -> str:
    from traceback import format_exception

    from platformdirs import user_log_path

    file: Path = user_log_path("showtime") / "faults.log"
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        grown = file.exists() and file.stat().st_size > _MOST
        with file.open("w" if grown else "a", encoding="utf-8") as log:
            log.writelines([*format_exception(fault.__class__, fault, traceback), "\n"])
    except OSError as error:
        return f"where it arose could not be written to {file}: {error.strerror}"
    return f"where it arose is written in {file}"
