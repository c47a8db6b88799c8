"""Whether a machine's clock can be believed. Pure: what was read from the machine is handed in.

A fair has no network, and a small computer has no battery behind its clock: it wakes with the date
of its last switching off, or of its making. A wrong time told is worse than none, so a clock is
believed for a reason or not at all.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from enum import StrEnum
from itertools import product

from showtime.fair import Day, instant

LONG_AFTER = timedelta(days=2 * 365)
"""A clock this far past the fair's last day is not believed."""

BACK = timedelta(minutes=5)
"""By so little the day may be ahead of a good clock, since keepers' watches are (common practice).
It then goes slower until both agree, and never back."""

AGREE = timedelta(minutes=1)
"""Within this the battery clock and the system clock agree. Quartz drifts by some seconds a day
(common practice: 20 to 100 millionths), and both were the same when the machine was switched on."""

_ZONES = timedelta(hours=14)
"""Offsets from UTC go up to this; a battery clock may have been set to local time."""


class Source(StrEnum):
    """Whom the clock is believed on."""

    NETWORK = "network time"
    BATTERY = "the battery clock"
    KEEPER = "the keeper"
    PRETENDED = "pretended"


@dataclass(frozen=True, slots=True)
class Setting:
    """The keeper's word, good for as long as the machine stays switched on.

    By it the machine's run named `boot` began at `since`. Journalled, it outlives the program: one
    that is started again on the same run of the machine knows the time.
    """

    boot: str
    since: datetime


@dataclass(frozen=True, slots=True)
class Reading:
    """What a machine says of its clock.

    `system` is what the system clock shows; `boottime` the time since the machine was started,
    sleep included, and `boot` the name of this run of it. `battery` is what the clock with a
    battery of its own shows (it may be local time: `zone` is the machine's offset from UTC), None
    where there is none to be read; `firmware` is True where the firmware hands on the time of such
    a clock, whether it can be read or not. `built` is the date of the program's own files.
    """

    system: datetime
    synchronised: bool
    boottime: timedelta
    boot: str
    battery: datetime | None = None
    firmware: bool = False
    zone: timedelta = timedelta(0)
    built: datetime | None = None


@dataclass(frozen=True, slots=True)
class Trusted:
    """The clock is right; the day begins at `at`."""

    by: Source
    at: datetime
    setting: Setting | None = None


@dataclass(frozen=True, slots=True)
class Doubted:
    """The clock cannot be right, or nothing says that it is; `why` is for the keeper.

    `at` is an instant that has passed for certain: a clock that goes on from there is never ahead
    of the true time, so setting it right never takes it back.
    """

    why: str
    at: datetime


Trust = Trusted | Doubted


def judged(
    reading: Reading,
    *,
    fair_ends: datetime,
    last_at: datetime | None = None,
    setting: Setting | None = None,
) -> Trust:
    """Whether the machine's clock is believed, on whom, and the instant to begin with.

    `last_at` is the last instant that the journal holds: time has not run backwards since, not
    even if the clock was doubted then (see Doubted). `setting` is what the keeper said, if the
    journal holds it and no network time was followed after it.
    """
    latest = fair_ends + LONG_AFTER
    # Files unpacked under a clock that was far ahead would make every right clock look late.
    built = reading.built if reading.built is not None and reading.built <= latest else None
    passed = last_at or built or min(reading.system, latest)
    if setting is not None and setting.boot == reading.boot and setting.boot:
        now = setting.since + reading.boottime
        return _not_before(Trusted(Source.KEEPER, now, setting), last_at)
    if reading.synchronised:
        return _not_before(Trusted(Source.NETWORK, reading.system), last_at)
    wrong = _wrong(reading, built, latest)
    if wrong:
        return Doubted(wrong, passed)
    return _not_before(Trusted(Source.BATTERY, reading.system), last_at)


def pretended(at: datetime) -> Trusted:
    """The clock of a day that is only practised."""
    return Trusted(Source.PRETENDED, instant(at))


def meant(told: time, day: Day, now: datetime, trust: Trust) -> datetime:
    """The instant that the keeper of `day` means by a time of day; its clock shows `now`.

    A trusted clock is put right by as little as possible. A doubted one is not ahead, so what is
    meant has not passed by it; of several instants it is the one nearest to the open hours. On the
    night when clocks go back this tells the first half past one from the second; a time that
    clocks leave out in spring is taken as if they had not been changed yet.
    """
    zone = day.signboard.timezone
    moments = set[datetime]()
    for off, fold in product((-1, 0, 1), (0, 1)):
        local = datetime.combine(day.date + timedelta(days=off), told, zone).replace(fold=fold)
        moment = local.astimezone(UTC)
        if not fold or moment.astimezone(zone).time() == told:
            moments.add(moment)
    if isinstance(trust, Trusted):
        return min(sorted(moments), key=lambda moment: abs(moment - now))
    middle = day.hours.start + day.hours.length / 2
    coming = sorted(moment for moment in moments if moment >= now - BACK) or sorted(moments)
    return min(coming, key=lambda moment: abs(moment - middle))


def _not_before(trusted: Trusted, last_at: datetime | None) -> Trust:
    if last_at is None or trusted.at >= last_at:
        return trusted
    if last_at - trusted.at <= BACK:
        return Trusted(trusted.by, last_at, trusted.setting)
    return Doubted(
        f"by {trusted.by} it is {_shown(trusted.at)}, but the day was already recorded until "
        f"{_shown(last_at)}",
        last_at,
    )


def _wrong(reading: Reading, built: datetime | None, latest: datetime) -> str:
    """What speaks against a clock that no network confirms; empty when nothing does."""
    system, battery = reading.system, reading.battery
    if battery is None and not reading.firmware:
        return "this machine has no battery clock, and no network has told it the time"
    if built is not None and system < built - _ZONES:
        return f"it shows {_shown(system)}, before this program was put here ({_shown(built)})"
    if system > latest:
        return f"it shows {_shown(system)}, long after the fair"
    if battery is None:
        return ""
    if built is not None and battery < built - _ZONES:
        return f"the battery clock woke with {_shown(battery)}: its battery is flat or missing"
    apart = battery - system
    if min(abs(apart), abs(apart - reading.zone)) > AGREE:
        return f"the battery clock shows {_shown(battery)}, the system clock {_shown(system)}"
    return ""


def _shown(moment: datetime) -> str:
    """With its date, and in UTC, as machines' clocks go."""
    return f"{moment:%Y-%m-%d %H:%M} UTC"
