"""All that is tried of one stall and one day."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from showtime.fair import Day
from showtime.live.clock.trust import Trusted
from showtime.live.desk import Desk
from showtime.live.places import journal_path
from showtime.live.readiness.check import Check, Line, Lines, mend, ok, tried
from showtime.live.readiness.deeds import deeds
from showtime.live.readiness.planned import LIMIT, Planned, quiet
from showtime.live.readiness.power import power
from showtime.live.readiness.recording import Recording, running
from showtime.live.readiness.speaking import UNHEARD, Speaking, minute_shown


@dataclass(frozen=True)
class Readiness:
    """What can be tried at the desk; what is plugged in is handed to `tried` beside it.

    `root` is where the machine's /sys is.
    """

    desk: Desk
    day: Day
    day_named: bool
    root: Path = Path("/")

    @classmethod
    def of(cls, desk: Desk, day: str) -> Readiness:
        return cls(desk, desk.day(day), bool(day))

    @cached_property
    def planned(self) -> Planned:
        return Planned(self.desk, self.day)

    @cached_property
    def _speaking(self) -> Speaking:
        return Speaking(self.desk, self.day)

    def running(self) -> Lines:
        """A line when a day of this stall is running, which has the voice and all devices."""
        said = running(self.desk.stall, self._journal)
        if not said:
            return ()
        return [mend("running", f"a day is running already: {said}", "end it first, or leave it")]

    @property
    def _journal(self) -> Path:
        return journal_path(self.desk.stall, self.day.date)

    def checks(self, *, alone: bool = True) -> Sequence[Check]:
        """What needs no hand and makes no sound. A day that is running has its journal; `alone`
        says that none is."""
        recording = Recording(self.desk.stall, self.day, self._journal, self.desk.clock.monotonic)
        return (
            Check("plan", self.planned.judged, LIMIT + 5),
            Check("quiet", lambda: quiet(self.day)),
            Check("clock", lambda: self._speaking.clock(self.day_named)),
            Check("journal", recording.journal if alone else tuple),
            Check("disk", recording.disk),
            Check("power", lambda: power(self.root)),
            Check("phrases", self._speaking.phrases),
            Check("recorded", self._speaking.recorded, 20),
            Check("inputs", lambda: deeds(self.desk.stall, self.day)),
        )

    def voice(self) -> Check:
        """The voice, which is heard."""
        return Check("voice", self._speaking.aloud, 15)

    def tried(self, checks: Sequence[Check]) -> Iterator[Line]:
        return tried(checks, self.desk.clock.monotonic)

    @property
    def time_asked(self) -> str:
        """The time to ask the keeper about; empty while nobody knows it."""
        if not isinstance(self.desk.clock.trust, Trusted):
            return ""
        return minute_shown(self.day, self.desk.clock.now())

    @property
    def quiet_now(self) -> str:
        return self._speaking.quiet_now

    @staticmethod
    def heard(line: Line, answer: bool | None) -> Line:
        """The voice's line once the keeper was asked whether it was heard; None: no answer."""
        if answer is None:
            return ok(line.name, f"{line.says} (nobody said whether it was heard)")
        return ok(line.name, "heard by you") if answer else mend(line.name, "not heard", UNHEARD)

    @staticmethod
    def right(line: Line, answer: bool | None) -> Line:
        """The clock's line once the keeper was asked whether it is right."""
        if answer is None:
            return line
        if answer:
            return Line(line.name, line.state, f"{line.says}, and by you", line.mend)
        return mend(line.name, f"{line.says}, which is wrong", _WRONG)


_WRONG = "set the computer's clock, or once the day runs: showtime tell clock 14:05"
