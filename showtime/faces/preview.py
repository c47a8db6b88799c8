"""A phrase bank while it is written: each time its file is saved, a new sentence of it."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import TypeAlias

from showtime.fair import ShowtimeError
from showtime.live import Desk
from showtime.wording import Bank, Sentence, Situation, WordingError, choose

LOOKING = 0.25
"""Seconds between two looks at the file."""

SETTLED = 0.1
"""Seconds in which a file must stay as it is before it is read: some editors write it in pieces."""

MISSING = 8
"""Looks after which a file that is gone is spoken of; editors that replace it do so at once."""

_Seen: TypeAlias = tuple[int, int, int] | None


@dataclass(frozen=True)
class Telling:
    """Where a preview puts its lines, and what it does with a sentence beside showing it."""

    show: Callable[[str], None]
    complain: Callable[[str], None]
    say: Callable[[Sentence], None]


def preview(
    desk: Desk,
    file: Path,
    situation: Situation,
    random: Random,
    telling: Telling,
    stop: threading.Event,
) -> None:
    """Until `stop` is set: a sentence for `situation` at once and after each save of `file`.

    Whatever is wrong with the file is told, each problem as file:line:column, and waited for.
    """
    said: list[str] = []
    for _ in _saves(desk, file, telling, stop):
        bank = _read(desk, file, telling)
        if bank is None:
            continue
        try:
            sentence = choose(bank, situation, said, random)
        except WordingError as error:
            telling.complain(str(error))
            continue
        said.append(sentence.text)
        telling.show(sentence.text)
        for warning in bank.warnings:
            telling.complain(str(warning))
        telling.say(sentence)


def _saves(desk: Desk, file: Path, telling: Telling, stop: threading.Event) -> Iterator[None]:
    """Yields at the beginning, and whenever the file has become another and stays so."""
    known: _Seen = None
    looks_in_vain = MISSING - 1  # a file that is not there at all is told of at once
    while not stop.is_set():
        seen = _look(file)
        looks_in_vain = looks_in_vain + 1 if seen is None else 0
        if looks_in_vain == MISSING:
            telling.complain(f"{file}:1:1: there is no such file; waiting for it")
            known = None
        if seen is not None and seen != known:
            if desk.clock.wait(stop, SETTLED):
                return
            if _look(file) == seen:
                known = seen
                yield
        if desk.clock.wait(stop, LOOKING):
            return


def _look(file: Path) -> _Seen:
    """What changes when a file is saved, by whatever kind of editor; None when there is none."""
    try:
        found = file.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino


def _read(desk: Desk, file: Path, telling: Telling) -> Bank | None:
    try:
        return desk.bank("", file)
    except ShowtimeError as error:
        telling.complain(str(error))
    return None
