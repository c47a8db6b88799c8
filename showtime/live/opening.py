"""Opening a stall's day: the clock that it goes by, its journal, and the running day itself."""

from __future__ import annotations

import random
import re
import secrets
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from showtime.fair import Day, Plan, Stall
from showtime.live.alarms import SchedulerAlarms
from showtime.live.clock import Clock, ShiftedClock, WallClock
from showtime.live.desk import Desk
from showtime.live.events import DayBegan, Event
from showtime.live.faults import watch
from showtime.live.house import House
from showtime.live.journal import Journal, JournalError
from showtime.live.planned import replanner
from showtime.live.ports import IdleFigure, WordsOnly, beside
from showtime.live.running import RunningDay, World
from showtime.live.speaking import open_speech
from showtime.live.state import DayState


@dataclass(frozen=True)
class Record:
    """A journal with what stood in it when it was opened."""

    journal: Journal
    history: tuple[Event, ...]

    @property
    def last_at(self) -> datetime | None:
        return self.history[-1].at if self.history else None


def open_record(path: Path | None, stall: Stall, plan: Plan) -> Record:
    """The journal at `path`; JournalError when it is of another stall or day."""
    journal = Journal(path)
    try:
        history = tuple(journal)
        began = next((event for event in history if isinstance(event, DayBegan)), None)
        if began is not None:
            _same_day(began, stall, plan, path)
    except JournalError:
        journal.close()
        raise
    return Record(journal, history)


def _same_day(began: DayBegan, stall: Stall, plan: Plan, path: Path | None) -> None:
    if (began.stall, began.date) != (stall.signboard.stall, plan.day.date):
        raise JournalError(
            f"{path}: this is the journal of {began.stall} on {began.date}; "
            f"give another --journal for {stall.signboard.stall} on {plan.day.date}"
        )
    known = {piece.name for piece in plan.day.pieces}
    unknown = sorted({slot.piece for slot in began.slots} - known)
    if unknown:
        raise JournalError(
            f"{path}: this day was begun with pieces that the settings no longer have: "
            f"{', '.join(unknown)}; put them back, or give another --journal"
        )


def open_clock(as_if: datetime | None, last_at: datetime | None) -> Clock:
    """The machine's clock, or one that starts at `as_if`: never before what was journalled."""
    if as_if is None:
        return WallClock()
    return ShiftedClock(as_if if last_at is None else max(as_if, last_at))


def open_house(
    desk: Desk, day: str, as_if: str, file: Path | None, *, silent: bool, seed: int | None
) -> tuple[House, RunningDay]:
    """The day running, begun or resumed where its journal left off, in a house to live in."""
    asked = desk.live(day, as_if)
    plan = desk.plan(asked.day, 20.0)
    path = file if file or asked.pretended else _journal_of(desk.stall, asked.day)
    record = open_record(path, desk.stall, plan)
    clock = open_clock(asked.now if asked.pretended else None, record.last_at)
    house = House(clock)
    watch(house.note)
    world = World(
        journal=record.journal,
        clock=clock,
        alarms=SchedulerAlarms(clock),
        speech=WordsOnly(clock) if silent else open_speech(desk.stall.speaking, house.note),
        figure=IdleFigure(),
        banks=desk.banks(),
        random=random.Random(secrets.randbits(64) if seed is None else seed),
        replanner=replanner(clock.monotonic),
        beside=beside,
        changed=house.changed,
    )
    running = RunningDay(DayState(plan.day, desk.stall.keep_within), world)
    if record.history:
        running.resume(record.history)
    else:
        running.begin(plan.performances, desk.tomorrow(plan.day, 20.0))
    return house, running


def _journal_of(stall: Stall, day: Day) -> Path:
    """Where a day is recorded when nobody says where."""
    from platformdirs import user_data_path

    name = re.sub(r"\W+", "-", stall.signboard.stall).strip("-").lower()
    return user_data_path("showtime") / f"{name or 'stall'}-{day.date}.journal"
