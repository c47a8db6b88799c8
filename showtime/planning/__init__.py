"""From a day to its plan, proven best or honestly marked.

Owns the search for plans: the day's, the rest of a live day's, and the one that a wanted start
would need. Refuses to bend a rule: a plan keeps every rule in exact arithmetic, or the answer is
the smallest set of rules that clash. Always holds: no clock is looked at but the one handed in, and
a level says it is proven only when nothing better is allowed.
"""

from importlib import import_module
from typing import TYPE_CHECKING

from showtime.planning.clash import Clash, ClashingRule
from showtime.planning.headroom import Headroom, headroom
from showtime.planning.moves import Move, moves
from showtime.planning.verifier import Broken, broken
from showtime.planning.why import Reason, WhyNot, why_not

if TYPE_CHECKING:
    from showtime.planning.fitting import fit
    from showtime.planning.planner import plan
    from showtime.planning.replanner import replan

_SEARCHES = {"fit": "fitting", "plan": "planner", "replan": "replanner"}
"""What is imported only when asked for: it brings the solver, which a judgement does not need."""

__all__ = [
    "Broken",
    "Clash",
    "ClashingRule",
    "Headroom",
    "Move",
    "Reason",
    "WhyNot",
    "broken",
    "fit",
    "headroom",
    "moves",
    "plan",
    "replan",
    "why_not",
]


def __getattr__(name: str) -> object:
    if name not in _SEARCHES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_SEARCHES[name]}"), name)
