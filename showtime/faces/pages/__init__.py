"""The stall's pages in a browser, served by the running day itself.

Owns what a browser is sent, and who may do what from one. Refuses everything that it does not know:
foreign hosts, unasked-for bodies, orders without a PIN. Always holds: a start is on disk as told
before a page shows it; no page needs anything from elsewhere; the day waits for no browser.
"""

from showtime.faces.pages.addresses import network_host
from showtime.faces.pages.announcing import announced
from showtime.faces.pages.bulletin import Bulletin
from showtime.faces.pages.door import Door, Doorway
from showtime.faces.pages.pin import PinFile, unfit
from showtime.faces.pages.server import open_pages
from showtime.faces.pages.serving import PagesError, PageServer, serve
from showtime.faces.pages.sheets import templates

__all__ = [
    "Bulletin",
    "Door",
    "Doorway",
    "PageServer",
    "PagesError",
    "PinFile",
    "announced",
    "network_host",
    "open_pages",
    "serve",
    "templates",
    "unfit",
]
"""Imported only where pages are served: nothing else needs a web server."""
