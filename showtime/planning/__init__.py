"""From a day to its plan, proven best or honestly marked.

Owns the search for plans: the day's, the rest of a live day's, and the one that a wanted start
would need. Refuses to bend a rule: a plan keeps every rule in exact arithmetic, or the answer is
the smallest set of rules that clash. Always holds: no clock is looked at but the one handed in, and
a level says it is proven only when nothing better is allowed.
"""

from showtime.planning.clash import Clash
from showtime.planning.fitting import fit
from showtime.planning.headroom import Headroom, headroom
from showtime.planning.planner import plan
from showtime.planning.replanner import replan
from showtime.planning.rulebook import ClashingRule
from showtime.planning.verifier import Broken, broken
from showtime.planning.why import Reason, WhyNot, why_not

__all__ = [
    "Broken",
    "Clash",
    "ClashingRule",
    "Headroom",
    "Reason",
    "WhyNot",
    "broken",
    "fit",
    "headroom",
    "plan",
    "replan",
    "why_not",
]
