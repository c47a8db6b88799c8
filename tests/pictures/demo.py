"""The first day of the demo, lived up to a moment: what the pictures are taken of."""

from __future__ import annotations

import json
import random
import tempfile
from datetime import datetime, timedelta
from functools import cached_property
from pathlib import Path

from showtime.faces.paper import Notice, labels, notice
from showtime.faces.report import document, page
from showtime.fair import Day, Plan
from showtime.fair.wishes import Level, Wish
from showtime.live import DayState, Desk, House, Journal, RunningDay, SimulatedClock, World
from showtime.live.account import account_in
from showtime.live.journal import Recorder
from showtime.live.ports import IdleFigure, OwnAlarms, WordsOnly
from showtime.settings import shipped

TOP = Path(__file__).parents[2]
FOLDER = TOP / ".pictures"
PLAN, SUMS = FOLDER / "plan.json", FOLDER / "shown.json"

MINUTE = timedelta(minutes=1)
ASKED_EVERY = 13 * MINUTE
LOOKED_AT = timedelta(hours=4, minutes=12)
"""After opening: when the screen, the board and the remote are looked at."""


class Demo:
    """The demo's first day, lived by its plan with a visitor every few minutes."""

    def __init__(self) -> None:
        self.desk = Desk.of(shipped("config/tin-orchard.yaml"))
        self.stall = self.desk.stall
        self.day: Day = self.stall.days[0]
        body = json.loads(PLAN.read_text("utf-8"))
        _, performances = self.desk.plan_from(PLAN, self.day.date.isoformat())
        levels = tuple(Level(Wish(e["name"]), e["value"], e["proven"]) for e in body["levels"])
        self.plan = Plan(self.day, tuple(performances), levels)

    def lived(self, until: datetime, journal: Journal) -> House:
        """The day as it stands at `until`, when its clock stops."""
        clock = SimulatedClock(self.day.hours.start - 10 * MINUTE)
        world = World(
            journal=Recorder(journal),
            clock=clock,
            alarms=OwnAlarms(clock, "day"),
            speech=WordsOnly(clock),
            figure=IdleFigure(),
            banks=self.desk.banks(),
            random=random.Random(7),
            replanner=lambda state, now: None,
        )
        running = RunningDay(DayState(self.day, self.stall.keep_within), world)
        running.begin(self.plan.performances, None)
        asked = self.day.hours.start - 4 * MINUTE
        while asked < until:
            clock.turn_to(asked)
            running.asked("key")
            asked += ASKED_EVERY
        clock.turn_to(until)
        return House(clock.steady, world.alarms, lambda house: running, OneDay(), lambda: None)

    @cached_property
    def house(self) -> House:
        """The demo at the moment at which its faces are looked at."""
        house = self.lived(self.day.hours.start + LOOKED_AT, Journal())
        house.day.asked("key")
        return house

    @cached_property
    def report(self) -> str:
        """The page of the evening."""
        with tempfile.TemporaryDirectory() as folder:
            path, evening = Path(folder) / "day.journal", self.day.hours.end + 5 * MINUTE
            journal = Journal(path)
            self.lived(evening, journal).day.end()
            journal.close()
            return page([document(account_in(self.stall, evening, self.day.date, path))])

    def sheet(self, kind: str) -> bytes:
        """A printed sheet, as PDF."""
        return notice(kind, Notice(self.stall, self.plan, labels("en", "en")))


class OneDay:
    """The demo's days when only one of them is lived."""

    def following(self, running: RunningDay) -> RunningDay | None:
        return None

    def turns_to(self, day: Day, now: datetime) -> Day | None:
        return None
