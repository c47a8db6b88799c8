"""Settings for a stall of one's own: six questions, and a file comes of them."""

from __future__ import annotations

import locale
import os
import shlex
import shutil
import sys
import tempfile
import textwrap
import warnings
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click

from showtime.cli.new_file import free, put, stop, unused
from showtime.cli.options import FILE, say

if TYPE_CHECKING:
    from showtime.settings.newstall import NewStall, Question, Surroundings

_BACK = "<"
_OPENING = """\
Six questions, and a file of settings comes of them. Enter takes what stands in
[brackets], Ctrl-D takes that for all that is left, < goes back, and Ctrl-C
leaves without a file.
"""


@click.command()
@click.argument("file", type=FILE, required=False)
@click.option("--stall", help="The stall's name; after a comma, its fair's.")
@click.option("--figure", help="The figure's name.")
@click.option("--speaks", help="Language and time zone: English, Europe/London.")
@click.option("--days", help="Days and hours: sat 10-17, sun 10-16.")
@click.option("--pieces", help="Names and lengths: Frost Bells 4:30, The Pear Dance 7 min.")
@click.option("--quiet", help="Reasons and times: lunch 13-13:30; or none.")
@click.option("--yes", is_flag=True, help="Ask nothing; take what would stand in brackets.")
def new(file: Path | None, yes: bool, **told: str | None) -> None:
    """Settings for a stall of your own: answers six questions, writes FILE with comments.

    FILE is never one that is there already; left out, it is named after the stall.

    Example: showtime new my-stall.yaml --pieces "Frost Bells 4:30" --yes
    """
    from showtime.settings.newstall import file_name

    try:
        # A place where nothing can be written is told before anything is asked.
        place = free(file) if file else unused(Path("stall.yaml"))
        stall = _Asking(told, yes).stall()
        written = place if file else unused(Path(file_name(stall)))
        put(written, stall)
    except KeyboardInterrupt:
        say("\nNothing is written.")
        sys.exit(1)
    _tell_what_next(written, stall)


class _Asking:
    """The questions being asked: at a terminal, of lines on standard input, or not at all."""

    def __init__(self, told: dict[str, str | None], yes: bool) -> None:
        self._told = told
        self._around = _surroundings()
        self._silent = yes or sys.stdin is None
        self._at_terminal = not self._silent and sys.stdin.isatty()
        self._went_wrong = False

    def stall(self) -> NewStall:
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
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "stall.yaml"
        try:
            file.write_text(composed(taken), "utf-8")
            load_stall(file)
        except SettingsError as error:
            raise AnswerError("; ".join(each.message for each in error.problems[:3])) from None
        except UnicodeEncodeError:
            raise AnswerError("there are letters in this that cannot be written") from None
    return taken


def _surroundings() -> Surroundings:
    from zoneinfo import available_timezones

    from babel import Locale

    from showtime.live.clock.kernel import ThisMachine
    from showtime.settings import shipped
    from showtime.settings.newstall import Surroundings

    codes = [path.stem for path in shipped("phrasebanks").glob("*.yaml")]
    names = {}
    for code in codes:
        known = Locale.parse(code)
        named = (known.get_display_name("en"), known.get_display_name(code))
        names[code] = tuple(name for name in named if name)
    names = dict(sorted(names.items(), key=lambda named: named[1]))
    zones = tuple(sorted(available_timezones()))
    language = _language_here()
    return Surroundings(
        ThisMachine().system(),
        language if language in names else "en",
        _zone_here(zones),
        names,
        zones,
    )


def _language_here() -> str:
    """The language that this machine is set to, as POSIX has it; elsewhere as the system says."""
    named = (os.environ.get(name) for name in ("LC_ALL", "LC_MESSAGES", "LANG"))
    return next(filter(None, named), locale.getlocale()[0] or "")[:2].lower()


def _zone_here(zones: tuple[str, ...]) -> str:
    """The zone that this machine is set to, as far as it can be told."""
    from tzlocal import get_localzone_name

    with warnings.catch_warnings(), suppress(LookupError, ValueError, OSError):
        warnings.simplefilter("ignore")
        named = str(get_localzone_name()).removeprefix("Etc/")
        if named in zones:
            return named
    return "UTC"


def _tell_what_next(file: Path, stall: NewStall) -> None:
    from showtime.settings.newstall import shortly_before

    named = shlex.quote(f"./{file}" if str(file).startswith("-") else str(file))
    say(f"\nWritten: {file}. What comes next stands in it, commented out. Now type:")
    for command, what in (
        (f"check {named}", "after each change: whether all is in order"),
        (f"plan {named}", "the day, as far as its limits allow"),
        (f"run {named} --as-if {shortly_before(stall)}", "try it here; Ctrl-C ends it"),
    ):
        say(f"  showtime {command}\n      {what}")
