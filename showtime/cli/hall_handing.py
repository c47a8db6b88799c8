"""The joint plan on its way to the stalls: found, brought or made, and handed out."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from showtime.cli.options import complain, print_lines

if TYPE_CHECKING:
    from showtime.fair.hall import HallDay, HallPlan
    from showtime.fairnet import Organiser
    from showtime.fairnet.view import PlanVersion
    from showtime.live import HallDesk
    from showtime.live.clock import Clock

_LISTENS = 2.0
"""Seconds in which a plan that somebody handed out before is heard of."""

_LIMIT = 60
"""Seconds that the planner may take; a plan that was made before takes none."""


def brought_by(desk: HallDesk, hall: HallDay, file: Path) -> HallPlan:
    """The joint plan in that file. One that breaks rules ends the program: exit 1."""
    from showtime.faces.hall import plain
    from showtime.fair.hall import HallPlan

    judged = desk.brought([file], hall.date.isoformat())
    broken = desk.broken(judged)
    if broken:
        print_lines(plain.broken(judged.hall, broken, judged.stalls))
        complain(f"{file}: a plan that breaks rules is not handed out; nothing was started")
        sys.exit(1)
    return HallPlan(judged.hall, judged.performances, tuple(map(len, judged.performances)))


@dataclass(frozen=True)
class Handing:
    """What hands a plan out, beside the hall that is live already. `config` is the fair's file as
    it was named; `note` takes lines for the organiser."""

    desk: HallDesk
    config: Path | None
    hall: HallDay
    organiser: Organiser
    clock: Clock
    note: Callable[[str], None]

    @contextmanager
    def beside(self, brought: HallPlan | None) -> Iterator[None]:
        """While this lasts. A planner that is not done by its end is given up."""
        over = threading.Event()
        working = threading.Thread(
            target=self._hand_out, args=(brought, over), name="handing", daemon=True
        )
        working.start()
        try:
            yield
        finally:
            over.set()
            working.join(10.0)

    def _hand_out(self, brought: HallPlan | None, over: threading.Event) -> None:
        from showtime.faces.organiser import plan_told

        known = None if brought else self._known(over)
        if known is not None and known.desk != self.organiser.desk:
            told = plan_told(self.hall, known)
            self.note(f"The stalls go by a plan already, {told}; --plan hands out another.")
            return
        made = brought or self.desk.kept(self.hall) or self._made(over)
        if made is None or over.is_set():
            return
        self.organiser.publish(made)
        given = sum(map(len, made.performances))
        told = f"{given} performances at {len(made.hall.names)} stalls"
        if self.organiser.view().trouble:
            self.note(f"The plan, {told}, is handed out as soon as the broker is reached.")
        else:
            self.note(f"The plan is handed out: {told}.")

    def _known(self, over: threading.Event) -> PlanVersion | None:
        """The plan that was handed out before, as far as the line tells of one."""
        until = self.clock.monotonic() + _LISTENS
        while self.organiser.view().plan_version is None and self.clock.monotonic() < until:
            if self.clock.wait(over, 0.1):
                break
        return self.organiser.view().plan_version

    def _made(self, over: threading.Event) -> HallPlan | None:
        """A plan made by a program of its own: so the line does not wait for it, nor the end."""
        from showtime.fair import ShowtimeError
        from showtime.fair.hall import HallPlan

        self.note("Planning. That takes up to a minute; meanwhile each stall goes by its own plan.")
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "plan.json"
            wrong = self._planned(file, over)
            if over.is_set():
                return None
            try:
                judged = (
                    self.desk.brought([file], self.hall.date.isoformat()) if not wrong else None
                )
            except ShowtimeError as error:
                wrong = str(error)
        if wrong or judged is None:
            for line in wrong.splitlines():
                self.note(line)
            self.note(
                "There is no joint plan: each stall goes by its own. Mend that, and start again."
            )
            return None
        return HallPlan(judged.hall, judged.performances, tuple(map(len, judged.performances)))

    def _planned(self, file: Path, over: threading.Event) -> str:
        """Have the plan written to `file`; what was wrong, empty when nothing."""
        named = [] if self.config is None else [str(self.config)]
        words = ["plan", *named, "--hall", "--day", self.hall.date.isoformat()]
        with file.open("w") as out:
            planner = subprocess.Popen(
                [sys.executable, "-m", "showtime", *words, "--limit", str(_LIMIT), "--json"],
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=subprocess.PIPE,
                text=True,
            )
            ending = threading.Thread(target=_end_with, args=(planner, over), daemon=True)
            ending.start()
            _, wrong = planner.communicate()
        return wrong if planner.returncode else ""


def _end_with(planner: subprocess.Popen[str], over: threading.Event) -> None:
    while planner.poll() is None:
        if over.wait(0.2):
            planner.kill()
            return
