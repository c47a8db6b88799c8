"""(Situation, time) -> Sentence."""

from showtime.wording.situation import Kind, Sentence, Situation

__all__ = ["Kind", "Sentence", "Situation"]
