"""What can be wrong with the line between stalls, for its keeper to mend."""

from __future__ import annotations

from showtime.fair import ShowtimeError

INSTALL = "the line between stalls needs more: pip install 'showtime[fairnet]'"


class FairnetError(ShowtimeError):
    """The line cannot be had like this: what is wrong, and what to do."""
