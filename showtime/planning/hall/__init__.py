"""The joint plan of a whole fair, and every judgement of one.

Owns the search for a plan of all stalls together, the independent verifier of such plans, and what
is told of them: why not then, noise at each stall, what each stall is handed. Refuses to bend a
rule: a joint plan keeps each stall's own rules and those between stalls in exact arithmetic, or the
answer names the stall whose own rules clash. Always holds: no clock is looked at but the one handed
in, and a level's bound is proven: no plan that keeps the levels before it can pass it.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from showtime.planning.hall.clashing import HallClash
    from showtime.planning.hall.groups import SoundingGroup, sounding_groups
    from showtime.planning.hall.handout import handouts
    from showtime.planning.hall.noise import FLOOR_DBA, noise_course, noise_courses
    from showtime.planning.hall.planner import plan_hall
    from showtime.planning.hall.verifier import HallBroken, broken_in_hall
    from showtime.planning.hall.why import HallMove, HallWhyNot, Way, why_in_hall

_FOUND_IN = {
    "FLOOR_DBA": "noise",
    "HallBroken": "verifier",
    "HallClash": "clashing",
    "HallMove": "why",
    "HallWhyNot": "why",
    "SoundingGroup": "groups",
    "Way": "why",
    "broken_in_hall": "verifier",
    "handouts": "handout",
    "noise_course": "noise",
    "noise_courses": "noise",
    "plan_hall": "planner",
    "sounding_groups": "groups",
    "why_in_hall": "why",
}
"""All names are imported only when asked for: who judges a plan needs no solver."""

__all__ = [
    "FLOOR_DBA",
    "HallBroken",
    "HallClash",
    "HallMove",
    "HallWhyNot",
    "SoundingGroup",
    "Way",
    "broken_in_hall",
    "handouts",
    "noise_course",
    "noise_courses",
    "plan_hall",
    "sounding_groups",
    "why_in_hall",
]


def __getattr__(name: str) -> object:
    if name not in _FOUND_IN:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_FOUND_IN[name]}"), name)
