"""The plan of a day."""

from showtime.planning.clash import Clash, ClashingRule
from showtime.planning.planner import plan

__all__ = ["Clash", "ClashingRule", "plan"]
