"""What the organiser of a fair sees and hands out of the joint plan.

Owns how a hall's day looks: on the screen, as pages, on paper, in calendars and tables. Refuses to
reckon: plan, handouts and noise come from planning. Always holds: a name is text, whatever signs
are in it, and is never a path; a level is called an estimate wherever it is told; what is proven
and what is not stands beside each figure.
"""

from showtime.faces.hall import documents, plain
from showtime.faces.hall.folder import papers
from showtime.faces.hall.joint import Joint, joint
from showtime.faces.hall.programme import show_hall

__all__ = ["Joint", "documents", "joint", "papers", "plain", "show_hall"]
