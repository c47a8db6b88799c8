"""A new stall's settings, made of six answers.

Owns what people type when they are asked, and the commented file that comes of it. Refuses to guess
when an answer may mean two things. Always holds: what it understood can be told, and the file that
it composes is read back as that. It reads and writes nothing, and looks at no clock.
"""

from showtime.settings.newstall.composing import composed, file_name, shortly_before
from showtime.settings.newstall.questions import QUESTIONS, Question, blank
from showtime.settings.newstall.values import AnswerError, NewStall, Surroundings

__all__ = [
    "QUESTIONS",
    "AnswerError",
    "NewStall",
    "Question",
    "Surroundings",
    "blank",
    "composed",
    "file_name",
    "shortly_before",
]
