"""The account of a day as one document: what every form of the report shows."""

from __future__ import annotations

from collections import Counter
from datetime import datetime, timedelta
from statistics import mean, median
from typing import Any

from showtime.faces.report import limits
from showtime.faces.words import clock_time
from showtime.live.account import Account

Document = dict[str, Any]

CAUTION = (
    "Sound levels, warmth and charge are estimates and certify nothing: levels are for a free field"
    " and a hall adds reflections, so measure with a sound level meter; the venue's and the local"
    " rules hold in any case."
)


def document(account: Account, *, share: bool = False) -> Document:
    """Everything that the report tells. `share`: without neighbours' names and typed words."""
    day, board = account.day, account.day.signboard
    return {
        "stall": board.stall,
        "figure": board.figure,
        "fair": board.fair,
        "day": day.date.isoformat(),
        "opens": _local(account, day.hours.start),
        "closes": _local(account, account.state.day.hours.end),
        "shared": share,
        "record": _record(account),
        "notes": _notes(account),
        "asked": _asked(account),
        "waits": _waits(account),
        "performances": _performances(account),
        "not_played": [
            {"starts": _local(account, slot.starts), "piece": slot.piece}
            for slot in account.not_played
        ],
        "planned": None if account.planned is None else len(account.planned),
        "promises": _promises(account, share),
        "caps": limits.caps(account, share),
        "heat": limits.heat(account),
        "phrases": _phrases(account, share),
        "incidents": _incidents(account, share),
        "quiet": [
            {"from": _local(account, q.span.start), "until": _local(account, q.span.end)}
            for q in account.state.day.quiet
        ],
        "caution": CAUTION,
    }


def _local(account: Account, moment: datetime) -> str:
    return account.day.local(moment).isoformat()


def _record(account: Account) -> Document:
    return {
        "events": len(account.events),
        "until": _local(account, account.until) if account.until else None,
        "ended": account.ended,
        "running": account.running,
        "damaged": account.read.damaged,
        "lost": account.read.lost,
    }


def _notes(account: Account) -> list[str]:
    """What a reader has to know before believing the figures."""
    found = []
    day, until = account.day, account.until
    if account.read.damaged:
        lost = account.read.lost
        missing = f"of the events {lost} are lost" if lost else "no event is known to be missing"
        found.append(f"The journal is damaged: this is what could be read of it; {missing}.")
    if until is None:
        found.append("Nothing was recorded on this day.")
    elif account.running:
        found.append(f"The day is still running: this is as of {clock_time(day, until)}.")
    elif not account.ended:
        found.append(f"The record breaks off at {clock_time(day, until)}: nobody ended the day.")
    elif until < account.state.day.hours.end:
        found.append(f"The day was ended at {clock_time(day, until)}, before closing.")
    if until is not None and account.planned is None:
        found.append("The plan that the day began with is not in the journal.")
    if not account.limits_known:
        found.append(
            "The settings have no such day: its hours and limits are taken from the first that "
            "they have."
        )
    if account.unknown:
        found.append(
            "The settings no longer have these pieces, so that their level, heat and charge are "
            f"not counted: {', '.join(account.unknown)}."
        )
    return found


def _asked(account: Account) -> Document:
    """Asks an hour of the wall clock, from the first to the last hour that matters."""
    hours = {_hour(account, asked) for asked in account.asks}
    first = _hour(account, account.day.hours.start)
    last = _hour(account, account.state.day.hours.end - timedelta(microseconds=1))
    counts = Counter(_hour(account, asked) for asked in account.asks)
    each = min([first, *hours])
    rows = []
    while each <= max([last, *hours]):
        rows.append({"hour": _local(account, each), "asks": counts[each]})
        each += timedelta(hours=1)
    return {"total": len(account.asks), "per_hour": rows}


def _hour(account: Account, moment: datetime) -> datetime:
    """The moment at which the hour of the wall clock began, as an instant."""
    local = account.day.local(moment)
    into = timedelta(minutes=local.minute, seconds=local.second, microseconds=local.microsecond)
    return moment - into


def _waits(account: Account) -> Document:
    had = [wait.total_seconds() / 60 for wait in account.waits if wait is not None]
    promised, meant = account.promised_wait, account.mean_wait
    return {
        "asked": [_local(account, asked) for asked in account.asks],
        "minutes": [None if w is None else round(w.total_seconds() / 60, 3) for w in account.waits],
        "mean": round(mean(had), 3) if had else None,
        "median": round(median(had), 3) if had else None,
        "longest": round(max(had), 3) if had else None,
        "in_vain": len(account.waits) - len(had),
        "promised_mean": _minutes(promised),
        "kept_mean": _minutes(meant),
    }


def _minutes(length: timedelta | None) -> float | None:
    return None if length is None else round(length.total_seconds() / 60, 3)


def _performances(account: Account) -> list[Document]:
    return [
        {
            "planned": _local(account, played.slot.starts),
            "started": _local(account, played.started),
            "ended": _local(account, played.ended) if played.ended else None,
            "piece": played.slot.piece,
            "late_seconds": round((played.started - played.slot.starts).total_seconds(), 3),
            "interrupted": played.interrupted,
            "overran_seconds": played.overran.total_seconds(),
        }
        for played in account.state.played
    ]


def _promises(account: Account, share: bool) -> Document:
    rows = [
        {
            "told": _local(account, each.told),
            "first_said": _local(account, each.first_said),
            "times": each.times,
            "outcome": each.outcome.value,
            "moved_to": _local(account, each.moved_to) if each.moved_to else None,
            "apologised": each.apologised,
            **({} if share else {"why": each.why}),
        }
        for each in account.promises
    ]
    outcomes = Counter(str(row["outcome"]) for row in rows)
    counts = {name: outcomes[name] for name in ("kept", "changed", "broken", "open")}
    apologised = sum(each.apologised > 0 for each in account.promises)
    return {**counts, "apologised": apologised, "rows": rows}


def _phrases(account: Account, share: bool) -> Document:
    texts = [said.text for answer in account.answers for said in answer.every]
    counts = Counter(texts)
    last: dict[str, int] = {}
    apart = []
    for place, text in enumerate(texts):
        if text in last:
            apart.append(place - last[text])
        last[text] = place
    found: Document = {
        "said": len(texts),
        "distinct": len(counts),
        "repeats": len(texts) - len(counts),
        "soonest_repeat": min(apart) if apart else None,
        "by_situation": dict(Counter(answer.kind.value for answer in account.answers)),
        "by_language": dict(Counter(s.language for a in account.answers for s in a.every)),
    }
    if not share:
        often = [(text, times) for text, times in counts.most_common(12) if times > 1]
        found["most"] = [{"text": text, "times": times} for text, times in often]
    return found


def _incidents(account: Account, share: bool) -> list[Document]:
    return [
        {
            "at": _local(account, each.at),
            "until": _local(account, each.until) if each.until else None,
            "kind": each.kind,
            "piece": each.piece,
            **({} if share else {"why": each.why}),
        }
        for each in account.happenings
    ]
