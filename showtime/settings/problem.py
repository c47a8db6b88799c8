"""What is wrong in the settings, where, and what would be right: all of it together.

ShowtimeError
└── SettingsError
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from showtime.fair import ShowtimeError, Where

MOST_TOLD = 200


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong; `message` says what, then what would be right."""

    where: Where
    message: str

    def __str__(self) -> str:
        return f"{self.where}: {self.message}"


class SettingsError(ShowtimeError):
    """Every problem found in the settings, file by file in the order that a person reads."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(map(str, self.problems)))

    @property
    def files(self) -> tuple[str, ...]:
        """The files that have problems, each once."""
        return tuple(dict.fromkeys(problem.where.file for problem in self.problems))


class Problems:
    """Collects problems while reading goes on; the same one is kept once.

    `count` is how often something was found wrong, repeats counted.
    """

    def __init__(self) -> None:
        self._found: dict[Problem, None] = {}
        self.count = 0

    def add(self, where: Where, message: str) -> None:
        self.count += 1
        self._found[Problem(where, _harmless(message))] = None

    def __len__(self) -> int:
        return len(self._found)

    def error(self) -> SettingsError:
        """All that was found: files in the order that they were read, lines in theirs."""
        files = list(dict.fromkeys(problem.where.file for problem in self._found))
        ordered = sorted(
            self._found, key=lambda found: (files.index(found.where.file), found.where)
        )
        if len(ordered) > MOST_TOLD:
            more = len(ordered) - MOST_TOLD
            told = f"from here on there are {more} more problems; mend those above first"
            ordered[MOST_TOLD:] = [Problem(ordered[MOST_TOLD].where, told)]
        return SettingsError(ordered)


def _harmless(message: str) -> str:
    """Without the line ends and control characters of a quoted text: a terminal obeys those."""
    if message.isprintable():
        return message
    return "".join(sign if sign.isprintable() else repr(sign)[1:-1] for sign in message)
