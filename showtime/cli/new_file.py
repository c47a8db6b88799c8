"""Where a new stall's settings go: to a name that nothing has, whole or not at all."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from showtime.cli.options import complain

if TYPE_CHECKING:
    from showtime.settings.newstall import NewStall


def stop(line: str) -> NoReturn:
    """End it with what is wrong."""
    complain(line)
    sys.exit(2)


def free(file: Path) -> Path:
    """The file to write, with an ending; stops when there is one, or no place for it."""
    if os.path.isdir(file) or not file.name:
        stop(f"{file}: this is a folder; give the name of a file that is to be in it")
    file = file if file.suffix else file.with_name(f"{file.name}.yaml")
    if not os.path.isdir(file.parent):
        stop(f"{file}: there is no folder {file.parent}; make it first")
    if not os.access(file.parent, os.W_OK):
        stop(f"{file}: nothing can be written in {file.parent}; give another folder")
    try:
        os.lstat(file)
    except FileNotFoundError:
        return file
    except OSError as error:
        stop(f"{file}: cannot be written ({error.strerror})")
    stop(f"{file}: this is there already, and stays as it is; give another name")


def unused(file: Path) -> Path:
    """The file to write, with a number in its name when there is one already."""
    tried, number = file, 1
    while os.path.lexists(tried):
        number += 1
        tried = file.with_stem(f"{file.stem}-{number}")
    return free(tried)


def put(file: Path, stall: NewStall) -> None:
    """Put the settings there, read back before they get their name, and in place of nothing."""
    from showtime.settings import load_stall
    from showtime.settings.newstall import composed

    unnamed = file.with_name(f".new-{os.getpid()}.yaml")
    text = composed(stall)
    try:
        with unnamed.open("x", encoding="utf-8", newline="\n") as written:
            written.write(text)
            written.flush()
            os.fsync(written.fileno())
        load_stall(unnamed)
        _name(unnamed, file, text)
    except FileExistsError:
        stop(f"{file}: this has just come to be there; it stays as it is. Give another name")
    except OSError as error:
        stop(f"{file}: cannot be written ({error.strerror})")
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
            try:
                written.write(text)
                written.flush()
            except BaseException:  # Ctrl-C too: half a file is not left behind
                file.unlink()
                raise
