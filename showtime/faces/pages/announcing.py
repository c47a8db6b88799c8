"""What the terminal says of the pages: where they are, and who can see what there."""

from __future__ import annotations

from showtime.faces.pages.addresses import addresses
from showtime.faces.pages.codes import code_lines

_ONLY_HERE = "Seen on this machine alone; --lan lets phones and screens on this network see it."

_EXPOSED = (
    "Whoever is on this network can see the board: the times of the day, and why it is quiet.",
    "Whoever knows the PIN can also give the keeper's orders, at /keeper.",
    "Nothing is encrypted on the way; do this on a network of your own, or one that you trust.",
)


def announced(port: int, *, lan: bool) -> list[str]:
    """Lines for the keeper, with a code for phones when they can reach the board."""
    urls = [each.url for each in addresses(port, lan=lan)]
    lines = [f"Board: {'  '.join(urls)}"]
    if not lan:
        return [*lines, _ONLY_HERE]
    return [*lines, *_EXPOSED, *code_lines(urls[0])]
