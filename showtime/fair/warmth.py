"""How warm the motors are known to be, and where that leads: one first-order lag."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from math import exp, log


@dataclass(frozen=True, slots=True)
class Warmth:
    """At `at` the motors were `rise_k` kelvin above ambient, by a measurement."""

    at: datetime
    rise_k: float


def lagged(rise_k: float, target_k: float, length: timedelta, time_constant: timedelta) -> float:
    """The rise after `length` of going towards `target_k`: target + (rise - target) e^(-t/T)."""
    return target_k + (rise_k - target_k) * exp(-(length / time_constant))


def cooled_after(
    rise_k: float, limit_k: float, rest_k: float, time_constant: timedelta
) -> timedelta | None:
    """How long motors at rest take from `rise_k` down to `limit_k`; None: they never get there."""
    if rise_k <= limit_k:
        return timedelta(0)
    if limit_k <= rest_k:
        return None
    return time_constant * log((rise_k - rest_k) / (limit_k - rest_k))
