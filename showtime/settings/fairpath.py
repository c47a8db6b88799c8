"""Which fair's file is meant, when a stall's may be given for it."""

from __future__ import annotations

from pathlib import Path

from showtime.fair import Where
from showtime.settings.files import is_fair, read_stall
from showtime.settings.problem import Problem, Problems, SettingsError


def fair_path(path: Path) -> Path:
    """The file itself when it is a fair's; that of the organiser when it is a stall's.

    Raises SettingsError when it is neither, or when the stall names no organiser.
    """
    if is_fair(path):
        return path
    problems = Problems()
    stall = read_stall(path, Where(str(path), 1, 1), problems)
    if stall is None:
        raise problems.error()
    if stall.organiser is None:
        alone = "this stall names no organiser; give a fair's file, or add organiser: and its name"
        raise SettingsError([Problem(Where(str(path), 1, 1), alone)])
    return path.parent / stall.organiser
