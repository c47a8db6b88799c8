"""A check, the lines that it gives, and how checks are tried beside each other."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum

from showtime.fair import ShowtimeError
from showtime.live.faults import tell_fault


class State(StrEnum):
    """How it stands with one thing. LOOK hinders nothing, but the keeper should know of it."""

    OK = "ok"
    LOOK = "look"
    MEND = "mend"


@dataclass(frozen=True, slots=True)
class Line:
    """What was found of one thing: what it `says`, and what to do about it (`mend`)."""

    name: str
    state: State
    says: str
    mend: str = ""


def ok(name: str, says: str) -> Line:
    return Line(name, State.OK, says)


def look(name: str, says: str, do: str = "") -> Line:
    return Line(name, State.LOOK, says, do)


def mend(name: str, says: str, do: str = "") -> Line:
    """Something without which the day is not to begin. A trouble told as `what; what to do` is
    parted where its last part begins."""
    if not do:
        says, _, do = says.partition("; ")
    return Line(name, State.MEND, says, do)


Lines = Sequence[Line]


@dataclass(frozen=True)
class Check:
    """Something to try. `judge` may hang: it is given up after so many `seconds`."""

    name: str
    judge: Callable[[], Lines]
    seconds: float = 10.0


_Told = queue.SimpleQueue[tuple[int, Lines]]


def tried(checks: Sequence[Check], monotonic: Callable[[], float]) -> Iterator[Line]:
    """All checks tried beside each other; their lines in order, each as soon as it is its turn.

    A check that raises gives its error as a line; one that does not end in time, a line that says
    so: what it hangs on ends with the program.
    """
    told: _Told = queue.SimpleQueue()
    begun, found = monotonic(), dict[int, Lines]()
    with _faults_as_lines(told, checks):
        for number, check in enumerate(checks):
            _thread(number, check, told).start()
        for number, check in enumerate(checks):
            while number not in found:
                left = begun + check.seconds - monotonic()
                try:
                    which, lines = told.get(timeout=max(0.0, left))
                except queue.Empty:
                    found[number] = [_hangs(check)]
                else:
                    found.setdefault(which, lines)
            yield from found[number]


def _hangs(check: Check) -> Line:
    return mend(
        check.name,
        f"no answer within {check.seconds:.0f} s",
        "unplug it, plug it in, and try again",
    )


def _thread(number: int, check: Check, told: _Told) -> threading.Thread:
    def run() -> None:
        try:
            lines = check.judge()
        except ShowtimeError as error:
            lines = [mend(check.name, str(error).splitlines()[0])]
        told.put((number, lines))

    return threading.Thread(target=run, name=f"{_PREFIX}{number}", daemon=True)


_PREFIX = "ready "


@contextmanager
def _faults_as_lines(told: _Told, checks: Sequence[Check]) -> Iterator[None]:
    """A fault of the program itself is a line of the check that met it."""
    before = threading.excepthook

    def hook(fault: threading.ExceptHookArgs) -> None:
        name = fault.thread.name if fault.thread else ""
        if fault.exc_value is None or not name.startswith(_PREFIX):
            before(fault)
            return
        number = int(name.removeprefix(_PREFIX))
        lines: list[Line] = []
        tell_fault(
            fault.exc_value,
            fault.exc_traceback,
            lambda line: lines.append(mend(checks[number].name, line)),
        )
        told.put((number, lines))

    threading.excepthook = hook
    try:
        yield
    finally:
        threading.excepthook = before
