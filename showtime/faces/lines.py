"""The live day as plain lines, where the output is no terminal: a pipe, a service's log."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime
from typing import TYPE_CHECKING

from showtime.faces.words import clock_time
from showtime.live import DayState

if TYPE_CHECKING:
    from showtime.live import Line


class Lines:
    """Writes one line for whatever is new since it was last shown the state."""

    every = 60.0

    def __init__(self, write: Callable[[str], None]) -> None:
        self._write = write
        self._shown: DayState | None = None
        self._note = ""
        self._typed: Line | None = None

    def show(self, state: DayState, now: datetime, note: str, line: Line | None = None) -> None:
        for news in _news(self._shown, state):
            self._write(f"{state.day.local(now):%H:%M:%S}  {news}")
        if note and note != self._note:
            self._write(f"{state.day.local(now):%H:%M:%S}  {note}")
        for told in _typing(self._typed, line):
            self._write(f"{state.day.local(now):%H:%M:%S}  {told}")
        self._shown, self._note, self._typed = state, note, line

    def close(self) -> None:
        """Nothing was taken that must be given back."""


def _typing(before: Line | None, line: Line | None) -> Iterator[str]:
    """A terminal that only gets whole lines is shown what was understood, not every letter."""
    if line is None:
        if before is not None:
            yield "the line is closed"
    elif before is None:
        yield f"type an order; Enter does it, Esc gives up: {line.hint}"
    elif line != before and (line.wrong or line.means):
        yield f"tell: {line.text}  ->  {line.hint}"


def _news(before: DayState | None, state: DayState) -> Iterator[str]:
    day = state.day
    if before is None or before.upcoming != state.upcoming and not _only_shorter(before, state):
        times = "  ".join(f"{clock_time(day, s.starts)} {s.piece}" for s in state.upcoming)
        yield f"to come: {times or 'nothing more today'}"
    if before is None or before.stage is not state.stage:
        yield f"{state.stage}{f': {state.hold}' if state.hold else ''}"
    known = before.played if before else ()
    for index, played in enumerate(state.played):
        if index >= len(known):
            yield f"starts: {played.slot.piece}"
        if played.ended and (index >= len(known) or not known[index].ended):
            yield f"{'interrupted' if played.interrupted else 'ends'}: {played.slot.piece}"
    for slot in state.missed[len(before.missed) if before else 0 :]:
        yield f"missed: {clock_time(day, slot.starts)} {slot.piece}"
    said = state.last_answer
    if said is not None and (before is None or before.last_answer is not said):
        yield f"{said.trigger} ({said.kind}, {said.spoken}): {said.whole}"


def _only_shorter(before: DayState, state: DayState) -> bool:
    """True when what is to come merely lost its first starts."""
    gone = len(before.upcoming) - len(state.upcoming)
    return gone >= 0 and before.upcoming[gone:] == state.upcoming
