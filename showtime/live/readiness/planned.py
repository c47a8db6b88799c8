"""The day's plan, its quiet intervals, and how near it comes to what the body bears."""

from __future__ import annotations

import threading
from collections import Counter
from dataclasses import dataclass, field

from showtime.fair import Day, Plan
from showtime.fair.budgets import Battery, Heat
from showtime.live.desk import Desk, NoPlanError
from showtime.live.readiness.check import Line, Lines, look, mend, ok
from showtime.planning import headroom

LIMIT = 15.0
"""Seconds that the planner may take."""

LITTLE = 0.95
"""Of a limit: what uses more has little to spare, as estimates go (common practice)."""

_MOST_NAMED, _MOST_QUIET = 4, 12


@dataclass
class Planned:
    """The plan of the day, made once for all that ask for it."""

    desk: Desk
    day: Day
    _made: Plan | NoPlanError | None = None
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def plan(self) -> Plan:
        """NoPlanError: rules clash."""
        with self._lock:
            if self._made is None:
                try:
                    self._made = self.desk.plan(self.day, LIMIT)
                except NoPlanError as error:
                    self._made = error
        if isinstance(self._made, NoPlanError):
            raise self._made
        return self._made

    def judged(self) -> Lines:
        try:
            made = self.plan()
        except NoPlanError as error:
            rules = "; ".join(rule.why for rule in error.clash.rules[:_MOST_NAMED])
            return [mend("plan", f"no plan is possible: {rules}", "showtime plan names the rules")]
        return [_plan(made), *_body(made)]

    def share_of_battery(self) -> float | None:
        """What of the full battery the day needs and keeps back; None: nobody can say."""
        try:
            made = self.plan()
        except NoPlanError:
            return None
        for each in headroom(self.day, made.performances):
            if isinstance(each.budget, Battery):
                return each.worst / each.budget.capacity_ah + each.budget.keep
        return None


def _plan(made: Plan) -> Line:
    if not made.performances:
        return mend("plan", "no performance fits into the day", "loosen a cap: showtime why 14:30")
    first, count = made.performances[0], len(made.performances)
    at = f"{made.day.local(first.starts):%H:%M}"
    said = f"{count} performance{'' if count == 1 else 's'}, first {at} {first.piece.name}"
    if all(level.proven for level in made.levels):
        return ok("plan", f"{said}; proven best")
    return look("plan", f"{said}; keeps every rule, but a better one may exist")


def _body(made: Plan) -> list[Line]:
    lines = []
    for each in headroom(made.day, made.performances):
        budget = each.budget
        if isinstance(budget, Heat):
            lines.append(_spare("heat", "up to", each.used, budget.shown(each.worst), budget.why))
        if isinstance(budget, Battery):
            said = f"{budget.shown(each.worst)} of {budget.limit:.2f} Ah that may be used"
            lines.append(_spare("battery", "the day takes", each.used, said, ""))
    return lines


_SPARE = {
    "heat": "feel the drivers at noon, with care; longer rests cool them",
    "battery": "begin with it full, and bring a charged spare",
}


def _spare(name: str, how: str, used: float, said: str, why: str) -> Line:
    line = f"{how} {said}, estimated" + (f"; {why}" if why else "")
    if used < LITTLE:
        return ok(name, line)
    return look(name, f"{line}: little to spare", _SPARE[name])


def quiet(day: Day) -> Lines:
    """The day's quiet intervals by their reasons, calendar files' too: one that is missing from
    the list is missing from the day."""
    counted = Counter(each.why.partition(":")[0] for each in day.quiet)
    if not counted:
        return [ok("quiet", "no quiet intervals on this day")]
    named = [f"{why}{f' ({count})' if count > 1 else ''}" for why, count in counted.items()]
    more = f" and {len(named) - _MOST_QUIET} more" if len(named) > _MOST_QUIET else ""
    return [ok("quiet", f"{len(day.quiet)}: {', '.join(named[:_MOST_QUIET])}{more}")]
