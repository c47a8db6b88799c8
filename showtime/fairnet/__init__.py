"""The line between the stalls of a fair, over MQTT 3.1.1 and a broker that is there already.

Owns topics, payloads and the leave that neighbours give each other (PROTOCOL.md). Refuses to speak
for another stall. Always holds: a stall that is cut off goes on with its last plan, and blocks
nobody; what is malformed, or not its sender's to say, changes nothing.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from showtime.fairnet.broker import Access, Broker, access_of, open_broker
    from showtime.fairnet.errors import FairnetError
    from showtime.fairnet.member import Member
    from showtime.fairnet.mosquitto import mosquitto_setup
    from showtime.fairnet.organiser import Organiser
    from showtime.fairnet.pace import Pace
    from showtime.fairnet.view import HallView, StallView

_ROOMS_OWN = {
    "Access": "broker",
    "Broker": "broker",
    "FairnetError": "errors",
    "HallView": "view",
    "Member": "member",
    "Organiser": "organiser",
    "Pace": "pace",
    "StallView": "view",
    "access_of": "broker",
    "mosquitto_setup": "mosquitto",
    "open_broker": "broker",
}
"""What is imported only when asked for: few days have a line to others."""

__all__ = [
    "Access",
    "Broker",
    "FairnetError",
    "HallView",
    "Member",
    "Organiser",
    "Pace",
    "StallView",
    "access_of",
    "mosquitto_setup",
    "open_broker",
]


def __getattr__(name: str) -> object:
    if name not in _ROOMS_OWN:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_ROOMS_OWN[name]}"), name)
