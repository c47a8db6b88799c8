"""The hall's organiser on the day: a page behind a PIN, and plain lines for the terminal.

Owns how the whole hall looks while it is live. Refuses whoever does not know the PIN. Always holds:
page and lines put the same values into words; a quiet counts as known by a stall only once that
stall has said so; a page that hears nothing any more says so.
"""

from showtime.faces.organiser.announcing import announced
from showtime.faces.organiser.lines import HallLines
from showtime.faces.organiser.node import KEYS, HallNode
from showtime.faces.organiser.organised import OrganisedHall
from showtime.faces.organiser.serving import PORT, open_organiser_pages
from showtime.faces.organiser.telling import plan_told

__all__ = [
    "KEYS",
    "PORT",
    "HallLines",
    "HallNode",
    "OrganisedHall",
    "announced",
    "open_organiser_pages",
    "plan_told",
]
