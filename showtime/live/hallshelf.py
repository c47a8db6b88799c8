"""The joint plan that was made last, so that what is asked afterwards is asked of that plan."""

from __future__ import annotations

import hashlib
import json
from datetime import datetime
from pathlib import Path

import showtime.planning
from showtime.fair import Performance
from showtime.fair.hall import HallDay, HallLevel, HallPlan, HallWish


def put(made: HallPlan, shelf: Path) -> None:
    """Keep the plan, proven or not. A folder that cannot be written to costs time, nothing else."""
    body = {
        "performances": [
            [(each.starts.isoformat(), each.piece.name) for each in given]
            for given in made.performances
        ],
        "alone": made.alone,
        "levels": [(level.name, level.value, level.bound) for level in made.levels],
        "seconds": made.seconds,
    }
    kept = _file(made.hall, shelf)
    fresh = kept.with_suffix(".new")
    try:
        kept.parent.mkdir(parents=True, exist_ok=True)
        fresh.write_text(json.dumps(body), "utf-8")
        fresh.replace(kept)
    except OSError:
        return


def taken(hall: HallDay, shelf: Path) -> HallPlan | None:
    """The plan that was kept of just this hall, if no rule finds anything wrong with it."""
    from showtime.planning.hall import broken_in_hall

    try:
        body = json.loads(_file(hall, shelf).read_text("utf-8"))
        found = HallPlan(
            hall,
            tuple(
                tuple(
                    Performance(datetime.fromisoformat(starts), day.piece(piece))
                    for starts, piece in given
                )
                for day, given in zip(hall.days, body["performances"], strict=True)
            ),
            tuple(body["alone"]),
            tuple(HallLevel(HallWish(name), value, bound) for name, value, bound in body["levels"]),
            body["seconds"],
        )
    except (OSError, ValueError, KeyError, TypeError):
        return None  # not there, or spoilt: it is planned again
    return None if broken_in_hall(hall, found.performances) else found


def _file(hall: HallDay, shelf: Path) -> Path:
    """Named by the day with all its limits, and by the planner that plans it."""
    room = Path(showtime.planning.__file__).parent
    planner = [(file.name, file.stat().st_mtime_ns) for file in sorted(room.rglob("*.py"))]
    mark = hashlib.sha256(repr((hall, planner)).encode()).hexdigest()[:32]
    return shelf / f"hall-{mark}.json"
