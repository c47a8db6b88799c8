"""Times on the stall's clock to instants, on days with clock changes too."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from showtime.fair import Where
from showtime.settings.problem import Problems


def resolved(day: date, clock: timedelta, zone: ZoneInfo) -> tuple[datetime, bool]:
    """The instant (UTC) of a time of day, and whether there is such a time.

    `clock` is counted from midnight and may run on into the next day. Of two such times, on the
    night when clocks go back, it is the first; one that a change of clocks leaves out is as long
    after the change as it seems.
    """
    local = datetime.combine(day, time()) + clock
    there = local.replace(tzinfo=zone).astimezone(UTC)
    return there, there.astimezone(zone).replace(tzinfo=None) == local


def complain_of_gap(
    day: date, clock: timedelta, zone: ZoneInfo, where: Where, problems: Problems
) -> None:
    """Say that a time does not exist, and which one near it does."""
    local = datetime.combine(day, time()) + clock
    there, _ = resolved(day, clock, zone)
    jumped = there.astimezone(zone).replace(tzinfo=None) - local
    first = _first_after_gap(local, jumped, zone)
    problems.add(
        where,
        f"there is no {local:%H:%M} on {local:%Y-%m-%d}: the clocks go forward to {first:%H:%M}"
        f" then; write {first:%H:%M}",
    )


def _first_after_gap(local: datetime, jumped: timedelta, zone: ZoneInfo) -> datetime:
    """The first local time that exists after `local`, which does not; clocks jumped so far."""
    missing, there = local, local + jumped
    while there - missing > timedelta(seconds=1):
        between = missing + (there - missing) / 2
        back = between.replace(tzinfo=zone).astimezone(UTC).astimezone(zone)
        exists = back.replace(tzinfo=None) == between
        missing, there = (missing, between) if exists else (between, there)
    return (there + timedelta(microseconds=999_999)).replace(microsecond=0)


def shown(at: datetime, zone: ZoneInfo) -> str:
    """An instant as the stall's clock shows it."""
    local = at.astimezone(zone)
    return f"{local:%H:%M:%S}" if local.second else f"{local:%H:%M}"
