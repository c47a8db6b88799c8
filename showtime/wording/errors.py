"""What can go wrong with words once a phrase bank has been read.

ShowtimeError
└── WordingError
    ├── UnknownLanguageError
    ├── NothingToSayError
    └── TooTangledError
"""

from __future__ import annotations

from showtime.fair import ShowtimeError


class WordingError(ShowtimeError):
    """There are no words."""


class UnknownLanguageError(WordingError):
    """The program has no clock for that language."""


class NothingToSayError(WordingError):
    """The bank has no words that are true in the situation."""


class TooTangledError(WordingError):
    """The templates overlap in so many ways that their sentences cannot be counted."""
