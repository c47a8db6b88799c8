"""Real alarms, fired by APScheduler."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from showtime.live.clock import Clock

_LEAD = timedelta(milliseconds=25)
"""The scheduler calls this much ahead; the rest is waited out on the thread that acts, so that
what the scheduler and the change of threads take makes nothing late."""

_AWAKE, _NOD = timedelta(milliseconds=4), timedelta(milliseconds=0.5)
"""So near to the instant the thread only nods: on a busy machine one that slept long is let wait
for a processor by some milliseconds, one that was just there mostly is not."""

_JITTER = timedelta(milliseconds=1)
"""Clocks that are read one after the other may seem to have moved by this."""

_TRIES = 5

_NONE = timedelta(0)


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
        self._closed = threading.Event()
        self._set: dict[str, _Alarm] = {}
        self._number = 0
        self._apart = _apart(clock)
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
        self._closed.set()
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
        apart = _apart(self._clock)
        # Not measured anew each time, or alarms of one instant would get different ones.
        if abs(apart - self._apart) > _JITTER:
            self._apart = apart
        calls = alarm.moment + self._apart - _LEAD
        self._scheduler.add_job(self._called, "date", args=(alarm,), run_date=calls, id=alarm.job)

    def _unschedule(self, alarm: _Alarm) -> None:
        from apscheduler.jobstores.base import JobLookupError

        try:
            self._scheduler.remove_job(alarm.job)
        except JobLookupError:
            return

    def _called(self, alarm: _Alarm) -> None:
        """The scheduler believes that the alarm is due."""
        while (early := alarm.moment - self._clock.now()) > _NONE:
            if early > 2 * _LEAD:
                self._wait_on(alarm)
                return
            length = early - _AWAKE if early > 2 * _AWAKE else min(early, _NOD)
            if self._clock.wait(self._closed, length.total_seconds()):
                return
        with self._lock:
            if self._set.get(alarm.key) is not alarm:
                return
            del self._set[alarm.key]
        alarm.action()

    def _wait_on(self, alarm: _Alarm) -> None:
        with self._lock:
            if self._set.get(alarm.key) is alarm:
                self._unschedule(alarm)
                self._wait_for(alarm)


def _apart(clock: Clock) -> timedelta:
    """By how much the system clock is ahead; read again when something came in between."""
    for _ in range(_TRIES):
        before, system, after = clock.now(), datetime.now(UTC), clock.now()
        if after - before < _JITTER / 4:
            break
    return system - before
