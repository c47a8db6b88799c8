"""The figure's own controller: the link to it, a stand-in for it, and the pack with which it does a
day alone.

Owns what goes over the serial line (PROTOCOL.md), and a pack's files. Refuses to act on a line
without a valid check. Always holds: a stop goes out ahead of all else, and again until it is
acknowledged; whatever is wrong is told to the running day, which then holds; a controller that
hears nothing stops by itself; a half-written pack is known as such.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from showtime.figure.cable import PretendCable
    from showtime.figure.controller import PretendController
    from showtime.figure.exchange import Pace
    from showtime.figure.link import Link
    from showtime.figure.opening import Tried, open_figure, tried, wired_figure
    from showtime.figure.pack import Packed, make_pack
    from showtime.figure.pack_making import Wanted
    from showtime.figure.pack_verify import wrong_with
    from showtime.figure.wired import WiredFigure

_ROOMS_OWN = {
    "Link": "link",
    "Pace": "exchange",
    "PretendCable": "cable",
    "PretendController": "controller",
    "Packed": "pack",
    "Wanted": "pack_making",
    "make_pack": "pack",
    "wrong_with": "pack_verify",
    "WiredFigure": "wired",
    "Tried": "opening",
    "open_figure": "opening",
    "tried": "opening",
    "wired_figure": "opening",
}
"""What is imported only when asked for: few days have a controller."""

__all__ = [
    "Link",
    "Pace",
    "Packed",
    "PretendCable",
    "PretendController",
    "Tried",
    "Wanted",
    "WiredFigure",
    "make_pack",
    "open_figure",
    "tried",
    "wired_figure",
    "wrong_with",
]


def __getattr__(name: str) -> object:
    if name not in _ROOMS_OWN:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_ROOMS_OWN[name]}"), name)
