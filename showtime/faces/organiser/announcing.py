"""What the terminal says of the organiser's page: where it is, and who can see it."""

from __future__ import annotations

from showtime.faces.pages.addresses import addresses
from showtime.faces.pages.codes import code_lines

_ONLY_HERE = "Seen on this machine alone; --lan lets phones on this network see it."

_EXPOSED = (
    "Whoever is on this network can see its door; whoever knows the PIN can call for quiet.",
    "Nothing of it is encrypted on the way; do this on a network of your own, or one you trust.",
)


def announced(port: int, *, lan: bool) -> list[str]:
    """Lines for the organiser, with a code for a phone that can reach the page."""
    urls = [f"{each.url}hall" for each in addresses(port, lan=lan)]
    lines = [f"The hall's page: {'  '.join(urls)}"]
    return [*lines, *_EXPOSED, *code_lines(urls[0])] if lan else [*lines, _ONLY_HERE]
