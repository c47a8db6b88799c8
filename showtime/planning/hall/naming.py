"""Stalls and distances as a person reads them."""

from __future__ import annotations

from collections.abc import Sequence


def listed(names: Sequence[str]) -> str:
    """`A`, `A and B`, `A, B and C`."""
    return " and ".join(part for part in (", ".join(names[:-1]), *names[-1:]) if part)


def shortened(names: Sequence[str], most: int) -> list[str]:
    """The first so many, and how many there are beside them."""
    rest = len(names) - most
    return [*names[:most], f"{rest} more"] if rest > 0 else list(names)


def metres(distance_m: float) -> str:
    """`3 m`, `4.2 m`."""
    return f"{round(distance_m, 1):g} m"
