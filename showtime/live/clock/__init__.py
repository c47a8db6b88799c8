"""What time it is on a live day, and whether that can be believed.

Owns every look at the machine's clocks: `kernel.py` reads them, `alarms.py` fires by them, and no
other file of the product may. Refuses to tell a time that nothing vouches for. Always holds: the
day's clock never runs backwards unless its keeper says so.
"""

from showtime.live.clock.ports import Alarms, Clock, JudgedClock, KeptClock

__all__ = ["Alarms", "Clock", "JudgedClock", "KeptClock"]
