"""The line between the stalls of a fair, over MQTT 3.1.1 and a broker that is there already.

Owns topics, payloads and the leave that neighbours give each other (PROTOCOL.md). Refuses to speak
for another stall. Always holds: a stall that is cut off goes on with its last plan, and blocks
nobody; what is malformed, or not its sender's to say, changes nothing.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from showtime.fairnet.broker import Broker, open_broker
    from showtime.fairnet.errors import FairnetError
    from showtime.fairnet.member import Member
    from showtime.fairnet.mosquitto import mosquitto_setup
    from showtime.fairnet.organiser import Organiser
    from showtime.fairnet.pace import Pace
    from showtime.fairnet.users import make_passwords, users_of
    from showtime.fairnet.view import HallView, StallView

_ROOMS_OWN = {
    "Broker": "broker",
    "FairnetError": "errors",
    "HallView": "view",
    "Member": "member",
    "Organiser": "organiser",
    "Pace": "pace",
    "StallView": "view",
    "make_passwords": "users",
    "mosquitto_setup": "mosquitto",
    "open_broker": "broker",
    "users_of": "users",
}
"""What is imported only when asked for: few days have a line to others."""

__all__ = [
    "Broker",
    "FairnetError",
    "HallView",
    "Member",
    "Organiser",
    "Pace",
    "StallView",
    "make_passwords",
    "mosquitto_setup",
    "open_broker",
    "users_of",
]


def __getattr__(name: str) -> object:
    if name not in _ROOMS_OWN:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_ROOMS_OWN[name]}"), name)
