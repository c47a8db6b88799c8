"""The day's plan from the shelf where the last one was put, or from the planner."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from datetime import datetime
from pathlib import Path

import showtime.planning
from showtime.fair import Day, Performance, Piece, Plan, Stall, wishes
from showtime.live.keeper.mend import performances, performed
from showtime.live.state import DayState
from showtime.planning import Clash, broken

REPLAN_LIMIT = 5.0
"""Seconds that replanning may take beside a running day; the mended plan holds until then."""


def planned(
    day: Day, *, limit: float, monotonic: Callable[[], float], shelf: Path | None
) -> Plan | Clash:
    """The plan of `day`. One that is proven best is kept in the folder `shelf` for the next time.

    A kept plan is used only when the day and the planner are the same to the letter, and when the
    verifier finds nothing wrong with it.
    """
    kept = shelf / f"{_mark(day)}.json" if shelf else None
    found = _taken(day, kept) if kept else None
    if found is not None:
        return found
    from showtime.planning import plan  # brings the solver

    made = plan(day, limit=limit, monotonic=monotonic)
    if kept and isinstance(made, Plan) and all(level.proven for level in made.levels):
        _put(made, kept)
    return made


def _mark(day: Day) -> str:
    """Names the day with all its limits, and the planner that plans it."""
    room = Path(showtime.planning.__file__).parent
    planner = [(file.name, file.stat().st_mtime_ns) for file in sorted(room.glob("*.py"))]
    return hashlib.sha256(repr((day, planner)).encode()).hexdigest()[:32]


def _taken(day: Day, kept: Path) -> Plan | None:
    try:
        body = json.loads(kept.read_text("utf-8"))
        found = Plan(
            day,
            tuple(
                Performance(datetime.fromisoformat(starts), day.piece(piece))
                for starts, piece in body["performances"]
            ),
            tuple(
                wishes.Level(wishes.Wish(name), value, proven)
                for name, value, proven in body["levels"]
            ),
            body["seconds"],
        )
    except (OSError, ValueError, KeyError, TypeError):
        return None  # not there, or spoilt: it is planned again
    return None if broken(day, found.performances) else found


def _put(made: Plan, kept: Path) -> None:
    body = {
        "performances": [(p.starts.isoformat(), p.piece.name) for p in made.performances],
        "levels": [(level.name, level.value, level.proven) for level in made.levels],
        "seconds": made.seconds,
    }
    fresh = kept.with_suffix(".new")
    try:
        kept.parent.mkdir(parents=True, exist_ok=True)
        fresh.write_text(json.dumps(body), "utf-8")
        fresh.replace(kept)
    except OSError:
        return  # a shelf that cannot be written to costs time, nothing else


def tomorrow(
    stall: Stall, day: Day, *, limit: float, monotonic: Callable[[], float], shelf: Path | None
) -> datetime | None:
    """The first start of the next fair day, which may be some days off; None when there is none."""
    following = next((each for each in stall.days if each.date > day.date), None)
    if following is None:
        return None
    made = planned(following, limit=limit, monotonic=monotonic, shelf=shelf)
    return made.starts[0] if isinstance(made, Plan) and made.performances else None


def promised_plan(
    made: Plan, promised: Sequence[datetime], monotonic: Callable[[], float]
) -> tuple[Performance, ...]:
    """The day planned so that what was promised for it on the day before is in it."""
    from showtime.planning import replan  # brings the solver

    day = made.day
    first = [Performance(told, _piece_then(made, told)) for told in promised]
    best = replan(
        day,
        now=day.hours.start,
        played=(),
        promised=first,
        near=made.performances,
        limit=REPLAN_LIMIT,
        monotonic=monotonic,
    )
    return best.performances


def _piece_then(made: Plan, told: datetime) -> Piece:
    """The piece planned nearest to that time; any, on a day that has none."""
    near = min(made.performances, key=lambda p: abs(p.starts - told), default=None)
    return near.piece if near else made.day.pieces[0]


def replanner(
    monotonic: Callable[[], float],
) -> Callable[[DayState, datetime], tuple[Performance, ...] | None]:
    """Finds the best rest of a running day, promised times first of all."""

    def best(state: DayState, now: datetime) -> tuple[Performance, ...] | None:
        from showtime.planning import replan  # brings the solver

        coming = performances(state.day, state.upcoming)
        wanted = {slot.starts for slot in state.wanted}
        # What the keeper added before that comes all the same.
        not_before = min((state.not_before or now, *wanted))
        promised = [p for p in coming if p.starts in state.promised() or p.starts in wanted]
        made = replan(
            state.to_plan,
            now=max(now, not_before),
            played=performed(state),
            promised=promised,
            near=coming,
            limit=REPLAN_LIMIT,
            monotonic=monotonic,
        )
        return tuple(p for p in made.performances if p.starts >= now)

    return best
