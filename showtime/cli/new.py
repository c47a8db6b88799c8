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
from typing import TYPE_CHECKING, NoReturn

import click

from showtime.cli.options import FILE, complain, say

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
        if file is not None:
            file = _free(file)
        stall = _Asking(told, yes).stall()
        file = file or _unused(Path(file_name(stall)))
        _write(file, stall)
    except KeyboardInterrupt:
        say("\nNothing is written.")
        sys.exit(1)
    _tell_what_next(file, stall)


class _Asking:
    """The questions being asked: at a terminal, of lines on standard input, or not at all."""

    def __init__(self, told: dict[str, str | None], yes: bool) -> None:
        self._told = told
        self._around = _surroundings()
        self._silent = yes
        self._at_terminal = sys.stdin is not None and sys.stdin.isatty()
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
        if sys.stdin is not None and hasattr(sys.stdin, "reconfigure"):
            sys.stdin.reconfigure(errors="replace")
        say(_OPENING)

    def _unasked(self, question: Question, stall: NewStall) -> NewStall:
        from showtime.settings.newstall import AnswerError

        try:
            stall = _checked(question, stall, self._told[question.flag] or "", self._around)
        except AnswerError as error:
            _stop(f"--{question.flag}: {error}")
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
                _stop(f"{question.flag}: no answer that means something; nothing is written")
            self._silent = True
            return ""
        if not self._at_terminal:
            say(typed)
        return typed


def _wrapped(line: str) -> str:
    width = max(40, shutil.get_terminal_size().columns - 1)
    return textwrap.fill(line, width, initial_indent="    ", subsequent_indent="    ")


def _stop(line: str) -> NoReturn:
    complain(line)
    sys.exit(2)


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
    usual = (locale.getlocale(locale.LC_CTYPE)[0] or os.environ.get("LANG", ""))[:2]
    zones = tuple(sorted(available_timezones()))
    return Surroundings(
        ThisMachine().system(), usual if usual in names else "en", _zone_here(zones), names, zones
    )


def _zone_here(zones: tuple[str, ...]) -> str:
    """The zone that this machine is set to, as far as it can be told."""
    from tzlocal import get_localzone_name

    with warnings.catch_warnings(), suppress(LookupError, ValueError, OSError):
        warnings.simplefilter("ignore")
        named = str(get_localzone_name()).removeprefix("Etc/")
        if named in zones:
            return named
    return "UTC"


def _free(file: Path) -> Path:
    """The file to write, with an ending; stops when there is one, or no place for it."""
    file = file if file.suffix else file.with_name(f"{file.name}.yaml") if file.name else file
    if file.is_dir() or not file.name:
        _stop(f"{file}: this is a folder; give the name of a file that is to be in it")
    if os.path.lexists(file):
        _stop(f"{file}: this is there already, and stays as it is; give another name")
    if not file.parent.is_dir():
        _stop(f"{file}: there is no folder {file.parent}; make it first")
    if not os.access(file.parent, os.W_OK):
        _stop(f"{file}: nothing can be written in {file.parent}; give another folder")
    return file


def _unused(file: Path) -> Path:
    tried, number = file, 1
    while os.path.lexists(tried):
        number += 1
        tried = file.with_stem(f"{file.stem}-{number}")
    return _free(tried)


def _write(file: Path, stall: NewStall) -> None:
    """Put the settings there, read back before they get their name, and in place of nothing."""
    from showtime.settings import load_stall
    from showtime.settings.newstall import composed

    unnamed = file.with_name(f".{file.name}.{os.getpid()}")
    text = composed(stall)
    try:
        with unnamed.open("x", encoding="utf-8", newline="\n") as written:
            written.write(text)
            written.flush()
            os.fsync(written.fileno())
        load_stall(unnamed)
        _name(unnamed, file, text)
    except FileExistsError:
        _stop(f"{file}: this has just come to be there; it stays as it is. Give another name")
    except OSError as error:
        _stop(f"{file}: cannot be written ({error.strerror})")
    finally:
        unnamed.unlink(missing_ok=True)


def _name(unnamed: Path, file: Path, text: str) -> None:
    """Give a file its name, which no other may have; os.rename would take it from another."""
    try:
        os.link(unnamed, file)
    except FileExistsError:
        raise
    except OSError:  # a memory stick's file system may have no second names
        with file.open("x", encoding="utf-8", newline="\n") as written:
            written.write(text)


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
