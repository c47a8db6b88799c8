"""What a stall tells, as payloads: written, and read strictly. Each has a JSON Schema beside."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from showtime.fair import Span
from showtime.fairnet import strict
from showtime.fairnet.claims import Answer, Claim, Claims, Rank
from showtime.fairnet.view import CapUsed, PlanVersion, Sounds


@dataclass(frozen=True, slots=True)
class Presence:
    """A stall came on the line as its `link` of this epoch, or left it."""

    stall: str
    name: str
    epoch: int
    link: int
    here: bool


@dataclass(frozen=True, slots=True)
class Status:
    """What a stall tells its organiser of its day; `at` by its own clock. `heeds`: the calls for
    quiet that its day has taken up and that hold."""

    stall: str
    at: datetime
    name: str
    stage: str
    playing: Sounds | None = None
    next: Sounds | None = None
    promised: tuple[datetime, ...] = ()
    follows: PlanVersion | None = None
    caps: tuple[CapUsed, ...] = ()
    trouble: str = ""
    heeds: tuple[str, ...] = ()


def packed(entry: Mapping[str, Any]) -> bytes:
    return json.dumps(entry, ensure_ascii=False, separators=(",", ":")).encode()


def _span(span: Span) -> dict[str, str]:
    return {"from": span.start.isoformat(), "until": span.end.isoformat()}


def written_presence(told: Presence) -> bytes:
    return packed({"name": told.name, "epoch": told.epoch, "link": told.link, "here": told.here})


def read_presence(stall: str, payload: bytes) -> Presence:
    entry = strict.keys(strict.document(payload), "name", "epoch", "link", "here")
    return Presence(
        stall,
        strict.line(entry, "name", empty=False),
        strict.whole(entry, "epoch"),
        strict.whole(entry, "link"),
        strict.truth(entry, "here"),
    )


def written_claims(told: Claims, at: datetime) -> bytes:
    return packed(
        {
            "epoch": told.epoch,
            "serial": told.serial,
            "at": at.isoformat(),
            "ruled": told.ruled,
            "claims": [
                {
                    "number": claim.number,
                    **_span(claim.span),
                    "ends": claim.ends.isoformat(),
                    "order": int(claim.rank.order),
                    "asked": claim.rank.asked,
                    "promised": claim.promised,
                    "held": claim.held,
                    "sounding": claim.sounding,
                }
                for claim in told.claims
            ],
        }
    )


def read_claims(stall: str, payload: bytes) -> tuple[Claims, datetime]:
    """The claims, and what the stall's clock showed."""
    entry = strict.keys(strict.document(payload), "epoch", "serial", "at", "ruled", "claims")
    claims = strict.each(entry, "claims", lambda one: _claim(stall, one))
    if len({claim.number for claim in claims}) != len(claims):
        raise strict.NonsenseError("two claims have one number")
    told = Claims(
        stall,
        strict.whole(entry, "epoch"),
        strict.whole(entry, "serial"),
        claims,
        strict.truth(entry, "ruled"),
    )
    return told, strict.moment(entry["at"])


_CLAIM = (
    "number", "from", "until", "ends", "order", "asked", "promised", "held", "sounding",
)  # fmt: skip


def _claim(stall: str, entry: object) -> Claim:
    one = strict.keys(entry, *_CLAIM)
    span, ends = strict.span(one), strict.moment(one["ends"])
    if ends < span.end or span.length.days:
        raise strict.NonsenseError("a claim of a day or more, or one that ends before its end")
    return Claim(
        strict.whole(one, "number", 1),
        span,
        Rank(strict.whole(one, "order", 0, 2), strict.whole(one, "asked"), stall),
        ends,
        strict.truth(one, "promised"),
        strict.truth(one, "held"),
        strict.truth(one, "sounding"),
    )


def written_answer(told: Answer) -> bytes:
    return packed(
        {
            "epoch": told.epoch,
            "serial": told.serial,
            "of_epoch": told.of_epoch,
            "seen": told.seen,
            "refused": list(told.refused),
        }
    )


def read_answer(stall: str, to: str, payload: bytes) -> Answer:
    entry = strict.keys(strict.document(payload), "epoch", "serial", "of_epoch", "seen", "refused")
    refused = strict.each(entry, "refused", lambda one: strict.whole({"refused": one}, "refused"))
    return Answer(
        stall,
        to,
        strict.whole(entry, "epoch"),
        strict.whole(entry, "serial"),
        strict.whole(entry, "of_epoch"),
        strict.whole(entry, "seen"),
        refused,
    )


def written_status(told: Status, epoch: int, serial: int) -> bytes:
    return packed(
        {
            "epoch": epoch,
            "serial": serial,
            "at": told.at.isoformat(),
            "name": told.name,
            "stage": told.stage,
            "playing": _sounds(told.playing),
            "next": _sounds(told.next),
            "promised": [moment.isoformat() for moment in told.promised],
            "follows": told.follows and {"number": told.follows.number, "desk": told.follows.desk},
            "caps": [
                {"why": cap.why, "used": cap.used, "limit": cap.limit, "shown": cap.shown}
                for cap in told.caps
            ],
            "trouble": told.trouble,
            "heeds": list(told.heeds),
        }
    )


def _sounds(sounds: Sounds | None) -> dict[str, str] | None:
    return None if sounds is None else {"piece": sounds.piece, **_span(sounds.span)}


_STATUS = (
    "epoch", "serial", "at", "name", "stage", "playing", "next", "promised", "follows", "caps",
    "trouble", "heeds",
)  # fmt: skip


def read_status(stall: str, payload: bytes) -> tuple[Status, tuple[int, int]]:
    """The status, and its epoch and serial: a higher one replaces a lower."""
    entry = strict.keys(strict.document(payload), *_STATUS)
    version = strict.whole(entry, "epoch"), strict.whole(entry, "serial")
    status = Status(
        stall,
        strict.moment(entry["at"]),
        strict.line(entry, "name", empty=False),
        strict.line(entry, "stage", 20),
        strict.perhaps(entry, "playing", _read_sounds),
        strict.perhaps(entry, "next", _read_sounds),
        strict.each(entry, "promised", strict.moment),
        strict.perhaps(entry, "follows", read_version),
        strict.each(entry, "caps", _read_cap, 100),
        strict.line(entry, "trouble", 500),
        strict.each(
            entry, "heeds", lambda one: strict.line({"call": one}, "call", 80, empty=False), 200
        ),
    )
    return status, version


def _read_sounds(entry: object) -> Sounds:
    one = strict.keys(entry, "piece", "from", "until")
    return Sounds(strict.line(one, "piece", empty=False), strict.span(one))


def read_version(entry: object) -> PlanVersion:
    one = strict.keys(entry, "number", "desk")
    return PlanVersion(strict.whole(one, "number", 1), strict.line(one, "desk", empty=False))


def _read_cap(entry: object) -> CapUsed:
    one = strict.keys(entry, "why", "used", "limit", "shown")
    return CapUsed(
        strict.line(one, "why"),
        strict.number(one, "used"),
        strict.number(one, "limit"),
        strict.line(one, "shown"),
    )
