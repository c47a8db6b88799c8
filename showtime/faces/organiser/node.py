"""Keeps the organiser's node going until somebody ends it: shows the hall, hears orders."""

from __future__ import annotations

import json
import signal
import threading
from collections.abc import Sequence
from datetime import datetime
from queue import SimpleQueue
from types import FrameType
from typing import Protocol

from showtime.faces.organiser.capping import cap_said
from showtime.faces.organiser.desk import LONGEST_WHY, NO_WHY, USUAL
from showtime.faces.organiser.lines import HallLines, printable
from showtime.faces.organiser.organised import OrganisedHall
from showtime.faces.organiser.sight import Hush
from showtime.fair import ShowtimeError

MOST = 240
"""Minutes of quiet that can be asked for at once."""

_AWAITED = 1.5
"""Seconds that an order for quiet waits for all stalls to confirm it."""

KEYS = f"Keys: c quiet for {USUAL} minutes, l lifts it, q ends"


class NodeClock(Protocol):
    """What the node goes by: it looks at the machine's clocks, and waits."""

    def now(self) -> datetime: ...
    def wait(self, stop: threading.Event, seconds: float) -> bool: ...
    def look(self) -> object: ...


class OrderError(ShowtimeError):
    """An order that means nothing to the hall; the message says how to put it."""


class HallNode:
    """The hall from the organiser's terminal."""

    def __init__(self, hall: OrganisedHall, clock: NodeClock) -> None:
        self._hall = hall
        self._clock = clock
        self._awake = threading.Event()
        self._stirred = threading.Event()
        self._ended = False
        self._notes: SimpleQueue[str] = SimpleQueue()

    def end(self) -> None:
        self._ended = True
        self._awake.set()

    def note(self, line: str) -> None:
        """Write a line among those of the hall."""
        self._notes.put(line)
        self._awake.set()

    def key(self, key: str) -> None:
        """Do what the key stands for; keys that stand for nothing do nothing."""
        if key in ("q", "\x03", "\x04"):
            self.end()
        elif key == "c":
            self._hall.quiet(USUAL, NO_WHY)
        elif key == "l":
            self.note(self._lift())

    def tell(self, words: Sequence[str]) -> str:
        """An order in words. OrderError when it means nothing."""
        verb = words[0].lower() if words else ""
        if verb == "quiet":
            return self._quiet(words[1:])
        if verb == "lift" and len(words) == 1:
            return self._lift()
        if verb == "cap":
            return self._cap(words[1:])
        if verb == "status" and list(words[1:]) == ["json"]:
            return json.dumps(self._hall.status(), ensure_ascii=False)
        if verb == "status" and len(words) == 1:
            return "\n".join(map(printable, _status(self._hall)))
        raise OrderError(
            f"{' '.join(words)}: no order; there are: quiet MINUTES [WHY], lift,"
            " cap COUNT MINUTES [WHY], status"
        )

    def live(self, lines: HallLines, until: datetime | None = None) -> bool:
        """Show the hall until somebody ends it (SIGINT, SIGTERM and SIGHUP end it cleanly), or it
        is that late; whether that was so."""
        watched = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
        before = {number: signal.signal(number, self._signalled) for number in watched}
        unwatch = self._hall.watch(self._changed)
        try:
            while not self._ended and (until is None or self._clock.now() < until):
                self._awake.clear()
                self._clock.look()
                notes = [self._notes.get() for _ in range(self._notes.qsize())]
                lines.show(self._hall.sight(), self._hall.time_of_day(), notes)
                self._clock.wait(self._awake, 1.0)
            return not self._ended
        finally:
            unwatch()
            for number, handler in before.items():
                signal.signal(number, handler)

    def _changed(self) -> None:
        self._stirred.set()
        self._awake.set()

    def _signalled(self, number: int, frame: FrameType | None) -> None:
        self.end()

    def _quiet(self, words: Sequence[str]) -> str:
        minutes, why = words[0] if words else "", " ".join(words[1:])
        if not minutes.isdecimal() or not 1 <= int(minutes) <= MOST:
            raise OrderError(
                f"quiet {minutes}: for how many minutes, 1 to {MOST}? Such as: quiet 10 a speech"
            )
        if len(why) > LONGEST_WHY:
            raise OrderError(f"quiet: a reason of at most {LONGEST_WHY} signs is shown everywhere")
        call = self._hall.quiet(int(minutes), why or NO_WHY)
        return _told(self._confirmed(call))

    def _confirmed(self, call: str) -> Hush | None:
        """That quiet once all stalls have it, or as it is when that has taken too long."""
        for _ in range(round(_AWAITED / 0.05)):
            self._stirred.clear()
            found = next((hush for hush in self._hall.sight().hushes if hush.call == call), None)
            if found is not None and found.all_have_it:
                return found
            self._clock.wait(self._stirred, 0.05)
        return found

    def _lift(self) -> str:
        lifted = [hush for hush in self._hall.sight().hushes if not hush.lifted]
        for hush in lifted:
            self._hall.lift(hush.call)
        return "The quiet is lifted." if lifted else "There is no quiet to lift."

    def _cap(self, words: Sequence[str]) -> str:
        caps = cap_said(words)
        self._hall.cap(caps)
        if not caps:
            return "The caps of the day are lifted; those of the fair's file stay."
        told = "; ".join(cap.why for cap in caps)
        return (
            f"From now on, at every stall: {told}. What was promised is kept as far as it can be."
        )


def _told(hush: Hush | None) -> str:
    if hush is None:
        return "Quiet is called for; nobody has heard it yet."
    known = "; ".join((hush.confirmed, *hush.named))
    return f"Quiet until {hush.until} ({hush.why}). {known}."


def _status(hall: OrganisedHall) -> list[str]:
    shown = hall.sight()
    lines = [f"{hall.time_of_day()}  {shown.headline}", *(f"! {line}" for line in shown.troubles)]
    lines += [_told(hush) for hush in shown.hushes if not hush.lifted]
    return lines + [f"{row.number:3}  {row.name}: {row.said}" for row in shown.rows]
