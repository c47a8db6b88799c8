"""What an organiser tells, as payloads: written, and read strictly. Each has a JSON Schema."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

from showtime.fair import Span
from showtime.fair.budgets import Budget, Performances, Sounding
from showtime.fairnet import strict
from showtime.fairnet.claims import Bond
from showtime.fairnet.errors import FairnetError
from showtime.fairnet.stallpapers import packed
from showtime.fairnet.view import PlanVersion, QuietNow


@dataclass(frozen=True, slots=True)
class Handed:
    """A stall's part of a plan with the rules that bind it; `names` are those of the stalls."""

    version: PlanVersion
    bonds: tuple[Bond, ...]
    names: Mapping[str, str]
    handout: Mapping[str, Any] = field(hash=False)


@dataclass(frozen=True, slots=True)
class Call:
    """What is known of one call for quiet: the highest `number` of a call is what counts."""

    quiet: QuietNow
    number: int


@dataclass(frozen=True, slots=True)
class CapsOf:
    """Caps on the day, each for the stalls of these words (none: for all)."""

    version: PlanVersion
    caps: tuple[tuple[Budget, tuple[str, ...]], ...]

    def of(self, word: str) -> tuple[Budget, ...]:
        return tuple(cap for cap, stalls in self.caps if not stalls or word in stalls)


def written_plan(number: int) -> bytes:
    return packed({"number": number})


def read_plan(desk: str, payload: bytes) -> PlanVersion:
    entry = strict.keys(strict.document(payload), "number")
    return PlanVersion(strict.whole(entry, "number", 1), desk)


def written_handed(told: Handed) -> bytes:
    return packed(
        {
            "number": told.version.number,
            "names": dict(told.names),
            "bonds": [
                {"most": bond.most, "stalls": sorted(bond.stalls), "why": bond.why}
                for bond in told.bonds
            ],
            "handout": told.handout,
        }
    )


def read_handed(desk: str, payload: bytes) -> Handed:
    """All but the handout itself is checked here: that is for whoever knows the stall's day."""
    entry = strict.keys(strict.document(payload), "number", "names", "bonds", "handout")
    names = entry["names"]
    if not isinstance(names, dict) or len(names) > 2000:
        raise strict.NonsenseError("names is no list of stalls")
    for word in names:
        strict.line(names, word, empty=False)
        strict.line({"word": word}, "word", empty=False)
    if not isinstance(entry["handout"], dict):
        raise strict.NonsenseError("handout is no object")
    version = PlanVersion(strict.whole(entry, "number", 1), desk)
    return Handed(version, strict.each(entry, "bonds", _bond), names, entry["handout"])


def _bond(entry: object) -> Bond:
    one = strict.keys(entry, "most", "stalls", "why")
    stalls = strict.each(one, "stalls", _word, 2000)
    return Bond(strict.whole(one, "most", 1), frozenset(stalls), strict.line(one, "why"))


def _word(value: object) -> str:
    return strict.line({"word": value}, "word", 600, empty=False)


def written_quiet(calls: Mapping[str, Call]) -> bytes:
    return packed(
        {
            "calls": [
                {
                    "call": call.quiet.call,
                    "number": call.number,
                    "why": call.quiet.why,
                    "from": call.quiet.span.start.isoformat(),
                    "until": call.quiet.span.end.isoformat(),
                    "lifted": call.quiet.lifted,
                }
                for call in calls.values()
            ]
        }
    )


def read_quiet(desk: str, payload: bytes) -> tuple[Call, ...]:
    entry = strict.keys(strict.document(payload), "calls")
    return strict.each(entry, "calls", lambda one: _call(desk, one), 200)


def _call(desk: str, entry: object) -> Call:
    one = strict.keys(entry, "call", "number", "why", "from", "until", "lifted")
    span: Span = strict.span(one)
    if span.length.days:
        raise strict.NonsenseError("a quiet of a day or more")
    quiet = QuietNow(
        strict.line(one, "call", 80, empty=False),
        strict.line(one, "why"),
        span,
        desk,
        strict.truth(one, "lifted"),
    )
    return Call(quiet, strict.whole(one, "number", 1))


def written_caps(told: CapsOf) -> bytes:
    caps = [{**_cap(cap), "stalls": list(stalls)} for cap, stalls in told.caps]
    return packed({"number": told.version.number, "caps": caps})


def _cap(cap: Budget) -> dict[str, Any]:
    """The cap as it is told. FairnetError: it is of a kind that cannot be set on the day."""
    if isinstance(cap, Performances):
        most: float = cap.most
    elif isinstance(cap, Sounding):
        most = cap.most.total_seconds()
    else:
        raise FairnetError(
            f"'{cap.why}' cannot be set on the day; caps on performances and on sounding can"
        )
    in_any = cap.in_any.total_seconds() if cap.in_any else None
    return {"rule": cap.rule, "most": most, "in_any": in_any, "because": cap.because}


def read_caps(desk: str, payload: bytes) -> CapsOf:
    entry = strict.keys(strict.document(payload), "number", "caps")
    version = PlanVersion(strict.whole(entry, "number", 1), desk)
    return CapsOf(version, strict.each(entry, "caps", _read_cap, 100))


def _read_cap(entry: object) -> tuple[Budget, tuple[str, ...]]:
    one = strict.keys(entry, "rule", "most", "in_any", "because", "stalls")
    stalls = strict.each(one, "stalls", _word, 2000)
    because = strict.line(one, "because")
    in_any = None if one["in_any"] is None else _length(one, "in_any")
    if one["rule"] == Performances.rule:
        return Performances(strict.whole(one, "most", 0, 10_000), in_any, because=because), stalls
    if one["rule"] == Sounding.rule:
        return Sounding(_length(one, "most"), in_any, because=because), stalls
    raise strict.NonsenseError(f"no cap is called {one['rule']!r}")


def _length(entry: Mapping[str, Any], key: str) -> timedelta:
    seconds = strict.number(entry, key)
    if not 0 < seconds <= 172_800:
        raise strict.NonsenseError(f"{key} is no length of up to two days")
    return timedelta(seconds=seconds)
