"""Real alarms, fired by APScheduler."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from showtime.live.clock import Clock


class SchedulerAlarms:
    """Alarms on a clock that goes at the usual pace; each action runs on a thread of its own.

    A late alarm is still fired: whether it is too late is for the running day to judge.
    """

    def __init__(self, clock: Clock) -> None:
        from apscheduler.executors.pool import ThreadPoolExecutor
        from apscheduler.schedulers.background import BackgroundScheduler

        self._clock = clock
        self._scheduler: Any = BackgroundScheduler(
            timezone=UTC,
            executors={"default": ThreadPoolExecutor(4)},
            job_defaults={"misfire_grace_time": None, "coalesce": True},
        )
        self._scheduler.start()

    def set(self, key: str, moment: datetime, action: Callable[[], None]) -> None:
        away = moment - self._clock.now()
        self._scheduler.add_job(
            action, "date", run_date=datetime.now(UTC) + away, id=key, replace_existing=True
        )

    def drop(self, key: str) -> None:
        from apscheduler.jobstores.base import JobLookupError

        try:
            self._scheduler.remove_job(key)
        except JobLookupError:
            return

    def close(self) -> None:
        self._scheduler.shutdown(wait=False)
