"""The languages that the figure speaks: one small class each, which tells the time and hears it.

Imported when a bank in it is read, and not before: most figures speak one.
"""

from __future__ import annotations

LANGUAGES = {
    "en": "english.English",
    "de": "german.German",
    "nl": "dutch.Dutch",
    "es": "spanish.Spanish",
    "fr": "french.French",
    "it": "italian.Italian",
    "cy": "welsh.Welsh",
}
"""Module and class of each, by ISO 639 code."""
