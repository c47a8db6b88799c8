"""The words that stand on paper beside the names and times: one small file for each language."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path

from showtime.fair import ShowtimeError

LANGUAGES = ("en", "de", "nl", "fr", "es", "it", "cy")

_THERE = Path(__file__).parent / "words"
_LOCALES = {"en": "en_GB"}
"""The fair's English is British; the other languages are as Babel has them."""


class NoLabelsError(ShowtimeError):
    """Nobody has written the labels of that language yet."""


@dataclass(frozen=True)
class Labels:
    """The words of one language, and how it writes dates and numbers."""

    language: str
    words: dict[str, str | int]

    def __call__(self, name: str, **names: str) -> str:
        """The label, with the names put in; what stands in a name is never taken for a place."""
        text = str(self.words[name])
        for place, filling in names.items():
            before, found, after = text.partition("{" + place + "}")
            text = before + filling + after if found else text
        return text

    @property
    def evening_from(self) -> int:
        """The hour at which the evening begins."""
        return int(self.words["evening_from"])

    def date(self, day: date) -> str:
        """The date written out, as the language does (CLDR)."""
        from babel.dates import format_date

        return format_date(day, "full", locale=self._locale)

    def number(self, value: float, digits: int) -> str:
        from babel.numbers import format_decimal

        pattern = "0." + "0" * digits if digits else "0"
        return format_decimal(value, pattern, locale=self._locale)

    def list(self, names: list[str]) -> str:
        """The names as a list is written: `a, b and c`."""
        from babel.lists import format_list

        return format_list(names, locale=self._locale)

    @property
    def _locale(self) -> str:
        return _LOCALES.get(self.language, self.language)


def labels(wanted: str, stalls: str) -> Labels:
    """The labels of the language that is named; else of the stall's own, else English.

    NoLabelsError when one is named that there are no labels for.
    """
    if wanted and wanted not in LANGUAGES:
        raise NoLabelsError(
            f"--language {wanted}: no labels for it on paper yet; there are {', '.join(LANGUAGES)}"
        )
    return _read(wanted or (stalls if stalls in LANGUAGES else "en"))


@cache
def _read(language: str) -> Labels:
    return Labels(language, json.loads((_THERE / f"{language}.json").read_text("utf-8")))
