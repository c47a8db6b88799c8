"""What is printed: the show bill, the neighbours' sheets, the keeper's run sheet.

Owns how the day looks on paper, in each language that there are labels for. Refuses to leave out a
time or to print one that the plan has not. Always holds: a name is text, whatever signs are in it;
fonts are embedded; the same day makes the same bytes.
"""

from showtime.faces.paper.fonts import not_ours
from showtime.faces.paper.labels import LANGUAGES, Labels, NoLabelsError, labels
from showtime.faces.paper.notice import KINDS, SIZES, Notice, NoticeError, notice

__all__ = [
    "KINDS",
    "LANGUAGES",
    "SIZES",
    "Labels",
    "NoLabelsError",
    "Notice",
    "NoticeError",
    "labels",
    "not_ours",
    "notice",
]
