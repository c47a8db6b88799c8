"""The times in which a stall must be silent because too many others sound, or are going to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from showtime.fair import QuietInterval, Span
from showtime.fairnet.claims import Bond, Claim


def taken(
    bonds: Sequence[Bond], given: Iterable[tuple[str, Claim]], names: Mapping[str, str]
) -> tuple[QuietInterval, ...]:
    """Where in some bond as many others as may sound at all have leave; each time tells who.

    In order of time, and none meets another of the same reason. `names` are the stalls' own.
    """
    claims = list(given)
    found = set()
    for bond in bonds:
        bound = [(name, claim.span) for name, claim in claims if name in bond.stalls]
        found |= {(span, who) for span, who in _crowded(bound, bond.most)}
    quiet = (QuietInterval(_why(who, names), span) for span, who in sorted(found))
    return _merged(quiet)


def _crowded(
    bound: Sequence[tuple[str, Span]], most: int
) -> Iterable[tuple[Span, tuple[str, ...]]]:
    """The stretches in which at least `most` different stalls sound, and which."""
    changes: dict[datetime, list[tuple[str, int]]] = {}
    for name, span in bound:
        changes.setdefault(span.start, []).append((name, 1))
        changes.setdefault(span.end, []).append((name, -1))
    sounding: Counter[str] = Counter()
    moments = sorted(changes)
    for start, end in zip(moments, moments[1:], strict=False):
        for name, by in changes[start]:
            sounding[name] += by
        who = tuple(sorted(name for name, count in sounding.items() if count > 0))
        if len(who) >= most:
            yield Span(start, end), who


def _why(who: Sequence[str], names: Mapping[str, str]) -> str:
    called = [names.get(each, each) for each in who]
    if len(called) == 1:
        return f"{called[0]} plays"
    if len(called) > 3:
        return f"{called[0]} and {len(called) - 1} others play"
    return f"{', '.join(called[:-1])} and {called[-1]} play"


def _merged(quiet: Iterable[QuietInterval]) -> tuple[QuietInterval, ...]:
    """What touches and has one reason is one time."""
    merged: list[QuietInterval] = []
    latest: dict[str, int] = {}
    for each in quiet:
        at = latest.get(each.why)
        if at is not None and merged[at].span.end >= each.span.start:
            end = max(merged[at].span.end, each.span.end)
            merged[at] = QuietInterval(each.why, Span(merged[at].span.start, end))
        else:
            latest[each.why] = len(merged)
            merged.append(each)
    return tuple(merged)
