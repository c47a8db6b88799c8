"""The six questions for a new stall, asked until each has an answer that means something."""

from __future__ import annotations

import shutil
import sys
import tempfile
import textwrap
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from showtime.cli.new_file import stop
from showtime.cli.new_here import surroundings
from showtime.cli.options import say

if TYPE_CHECKING:
    from showtime.settings.newstall import NewStall, Question, Surroundings

_BACK = "<"
_OPENING = """\
Six questions, and a file of settings comes of them. Enter takes what stands in
[brackets], Ctrl-D takes that for all that is left, < goes back, and Ctrl-C
leaves without a file.
"""


class Asking:
    """The questions being asked: at a terminal, of lines on standard input, or not at all."""

    def __init__(self, told: dict[str, str | None], yes: bool) -> None:
        self._told = told
        self._around = surroundings()
        self._silent = yes or sys.stdin is None
        self._at_terminal = not self._silent and sys.stdin.isatty()
        self._went_wrong = False

    def stall(self) -> NewStall:
        """The stall as it was answered. Ends the program when it was answered wrongly for good."""
        from showtime.settings.newstall import QUESTIONS, blank

        to_ask = [question for question in QUESTIONS if self._told[question.flag] is None]
        if to_ask and not self._silent:
            self._open()
        stall, number = blank(self._around), 0
        before: list[tuple[int, NewStall]] = []
        while number < len(QUESTIONS):
            question = QUESTIONS[number]
            if self._silent or question not in to_ask:
                stall = self._unasked(question, stall)
            else:
                answered = self._answered(question, stall, f"{number + 1}/{len(QUESTIONS)}")
                if answered is None:
                    number, stall = before.pop() if before else (number, stall)
                    continue
                before.append((number, stall))
                stall = answered
            number += 1
        return stall

    def _open(self) -> None:
        if self._at_terminal:
            with suppress(ImportError):
                import readline  # noqa: F401  # its import lets what is typed be edited
        if hasattr(sys.stdin, "reconfigure"):
            sys.stdin.reconfigure(errors="replace")
        say(_OPENING)

    def _unasked(self, question: Question, stall: NewStall) -> NewStall:
        from showtime.settings.newstall import AnswerError

        try:
            stall = _checked(question, stall, self._told[question.flag] or "", self._around)
        except AnswerError as error:
            stop(f"--{question.flag}: {error}")
        say(f"{question.flag}: {'; '.join(question.tell(stall, self._around))}")
        return stall

    def _answered(self, question: Question, stall: NewStall, place: str) -> NewStall | None:
        """The stall with an answer that means something; None: back to the question before."""
        from showtime.settings.newstall import AnswerError

        say(f"{place} " + question.asks.replace("\n", "\n    "))
        while True:
            typed = self._line(f"    [{question.default(stall, self._around)}] ", question)
            if typed.strip() == _BACK:
                return None
            try:
                taken = _checked(question, stall, typed, self._around)
            except AnswerError as error:
                self._went_wrong = True
                say(_wrapped(f"No: {error}."))
                continue
            for line in question.tell(taken, self._around):
                say(f"    = {line}")
            return taken

    def _line(self, prompt: str, question: Question) -> str:
        """One answer; an empty one when there is nothing more to come."""
        if self._silent:
            return ""
        try:
            typed = input(prompt)
        except EOFError:
            say("")
            if self._went_wrong and not self._at_terminal:
                stop(f"{question.flag}: no answer that means something; nothing is written")
            self._silent = True
            return ""
        if not self._at_terminal:
            say(typed)
        return typed


def _wrapped(line: str) -> str:
    width = max(40, shutil.get_terminal_size().columns - 1)
    return textwrap.fill(line, width, initial_indent="    ", subsequent_indent="    ")


def _checked(question: Question, stall: NewStall, typed: str, around: Surroundings) -> NewStall:
    """The stall with the answer in it, if its settings can be read so.

    Raises AnswerError otherwise, in the words that the settings would be refused with.
    """
    from showtime.settings import SettingsError, load_stall
    from showtime.settings.newstall import AnswerError, composed

    taken = question.taken(stall, typed, around)
    try:
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "stall.yaml"
            file.write_text(composed(taken), "utf-8")
            load_stall(file)
    except SettingsError as error:
        raise AnswerError("; ".join(each.message for each in error.problems[:3])) from None
    except UnicodeEncodeError:
        raise AnswerError("there are letters in this that cannot be written") from None
    except OSError as error:
        stop(f"{error.filename}: settings cannot be tried out there ({error.strerror})")
    return taken
