"""The root of the product's errors.

Every room derives its own from it; all of them are for the person at the stall.

    ShowtimeError
    └── SettingsError and its like in other rooms
"""

from __future__ import annotations


class ShowtimeError(Exception):
    """Something the keeper can mend: what is wrong, where, and what to do, never a traceback."""
