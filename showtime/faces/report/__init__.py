"""The report of a day: one document, shown as a page, on paper, or as tables.

Owns how a day that was is told. Refuses to add to it: everything stands in the account of the
journal. Always holds: page, paper and tables show the same figures; what settings or people wrote
is shown as text; a report to share has no names of neighbours and no words that somebody typed.
"""

from showtime.faces.report.document import document
from showtime.faces.report.page import page
from showtime.faces.report.paper import printed
from showtime.faces.report.plain import lines
from showtime.faces.report.tables import tables

__all__ = ["document", "lines", "page", "printed", "tables"]
