"""Real alarms, fired by APScheduler."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from showtime.live.clock import Clock

_EARLY = timedelta(milliseconds=2)
"""An alarm that comes this much before its instant comes in time."""


@dataclass(eq=False)
class _Alarm:
    """One alarm as it was set; `job` is the scheduler's name for what waits for it now."""

    key: str
    moment: datetime
    action: Callable[[], None]
    job: str = ""


class SchedulerAlarms:
    """Alarms on a clock that goes at the usual pace; their actions are done one after the other.

    The scheduler waits by the system clock, which may jump, and by seconds that do not count while
    the machine sleeps: `realign` is to be called when either was noticed. Whatever the scheduler
    does, an alarm acts once, and never before its instant by the clock that was handed in. A late
    alarm still acts: whether it is too late is for the running day to judge.
    """

    def __init__(self, clock: Clock) -> None:
        from apscheduler.executors.pool import ThreadPoolExecutor
        from apscheduler.schedulers.background import BackgroundScheduler

        self._clock = clock
        self._lock = threading.Lock()
        self._set: dict[str, _Alarm] = {}
        self._number = 0
        # One thread: what is overdue after a sleep comes in order.
        self._scheduler: Any = BackgroundScheduler(
            timezone=UTC,
            executors={"default": ThreadPoolExecutor(1)},
            job_defaults={"misfire_grace_time": None, "coalesce": True},
        )
        self._scheduler.start()

    def set(self, key: str, moment: datetime, action: Callable[[], None]) -> None:
        with self._lock:
            self._forget(key)
            alarm = self._set[key] = _Alarm(key, moment, action)
            self._wait_for(alarm)

    def drop(self, key: str) -> None:
        with self._lock:
            self._forget(key)

    def realign(self) -> None:
        with self._lock:
            for alarm in self._set.values():
                self._unschedule(alarm)
                self._wait_for(alarm)

    def close(self) -> None:
        with self._lock:
            self._set.clear()
        self._scheduler.shutdown(wait=False)

    def _forget(self, key: str) -> None:
        alarm = self._set.pop(key, None)
        if alarm is not None:
            self._unschedule(alarm)

    def _wait_for(self, alarm: _Alarm) -> None:
        # A new name each time: under an old one the scheduler would leave out what comes due while
        # its forerunner is still being done. Names in order keep alarms of one instant in order.
        self._number += 1
        alarm.job = f"{self._number:012}"
        away = alarm.moment - self._clock.now()
        self._scheduler.add_job(
            self._due, "date", args=(alarm,), run_date=datetime.now(UTC) + away, id=alarm.job
        )

    def _unschedule(self, alarm: _Alarm) -> None:
        from apscheduler.jobstores.base import JobLookupError

        try:
            self._scheduler.remove_job(alarm.job)
        except JobLookupError:
            return

    def _due(self, alarm: _Alarm) -> None:
        with self._lock:
            if self._set.get(alarm.key) is not alarm:
                return
            if alarm.moment - self._clock.now() > _EARLY:
                self._unschedule(alarm)
                self._wait_for(alarm)
                return
            del self._set[alarm.key]
        alarm.action()
