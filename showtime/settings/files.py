"""The files of settings to their models, and the mix-ups between them."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TypeVar

from showtime.fair import Where
from showtime.settings.compose import salvage
from showtime.settings.fairfile import FairFile
from showtime.settings.model import Group, keys, read_group
from showtime.settings.organiser import Organiser
from showtime.settings.problem import Problems
from showtime.settings.reading import LARGEST_YAML, read_text
from showtime.settings.stallfile import StallFile
from showtime.settings.tree import Mapping, Scalar

M = TypeVar("M", bound=Group)

_KEYS_OF_FAIR = frozenset(key.name for key in keys(FairFile))
_KEYS_OF_STALL = frozenset(key.name for key in keys(StallFile))
_OF_FAIRS, _OF_STALLS = _KEYS_OF_FAIR - _KEYS_OF_STALL, _KEYS_OF_STALL - _KEYS_OF_FAIR
_TOP_KEY = re.compile(r"""^["']?(\w+)["']?[ \t]*:""", re.MULTILINE)


def read_stall(path: Path, named_at: Where, problems: Problems) -> StallFile | None:
    """A stall's settings; None when nothing of them can be read."""
    return _read(StallFile, path, named_at, problems)


def read_fair(path: Path, problems: Problems) -> Organiser | None:
    """A fair's file; None when nothing of it can be read."""
    written = _read(FairFile, path, Where(str(path), 1, 1), problems)
    return Organiser(written, path, problems) if written else None


def read_organiser(stall: StallFile, path: Path, problems: Problems) -> Organiser | None:
    """The fair's file that the stall at `path` names; None when it cannot be read."""
    named_at = stall.where_of("organiser")
    file = path.parent / str(stall.organiser)
    if same_file(file, path):
        problems.add(named_at, "this names the stall's own file; name the fair's, or leave it out")
        return None
    written = _read(FairFile, file, named_at, problems)
    return Organiser(written, file, problems) if written else None


def is_fair(path: Path) -> bool:
    """True when the file holds a fair rather than a stall, as far as its keys can be told.

    A cheap look: a file that cannot be read is none, and whoever loads it will say why.
    """
    unheard = Problems()
    text = read_text(path, LARGEST_YAML, Where(str(path), 1, 1), unheard)
    if text is None or not any(key in text for key in _OF_FAIRS):
        return False
    there = set(_TOP_KEY.findall(text))
    if not there & (_OF_FAIRS | _OF_STALLS):
        tree = salvage(text, str(path), unheard).tree
        there = {pair.key.text for pair in tree.pairs} if isinstance(tree, Mapping) else set()
    return _is_fairs(there)


def same_file(one: Path, other: Path) -> bool:
    """True when both paths lead to one file, whether or not it is there."""
    try:
        return one.resolve() == other.resolve()
    except (OSError, RuntimeError, ValueError):
        return False


def _read(model: type[M], path: Path, named_at: Where, problems: Problems) -> M | None:
    text = read_text(path, LARGEST_YAML, named_at, problems)
    if text is None:
        return None
    before = problems.count
    salvaged = salvage(text, str(path), problems)
    tree = salvaged.tree
    if not isinstance(tree, Mapping):
        if problems.count == before:
            empty = isinstance(tree, Scalar) and tree.value is None
            said = "this file is empty" if empty else "this file has no keys"
            problems.add(tree.where, f"{said}; write keys with values, such as fair: and its name")
        return None
    mixed_up = _mixed_up(model, tree)
    if mixed_up:
        problems.add(tree.where, mixed_up)
        return None
    return read_group(model, tree, problems, _lost(model, tree, salvaged.lost))


def _mixed_up(model: type[Group], tree: Mapping) -> str:
    """What to say when a stall's settings stand where a fair's belong, or the other way round."""
    there = {pair.key.text for pair in tree.pairs}
    if model is StallFile and _is_fairs(there):
        return "this is a fair's file, not a stall's; give the settings of one of its stalls"
    if model is FairFile and "pieces" in there and not there & _OF_FAIRS:
        return "these are a stall's settings, not a fair's; name the file that the organiser wrote"
    return ""


def _is_fairs(there: set[str]) -> bool:
    return bool(there & _OF_FAIRS) and "pieces" not in there


def _lost(model: type[Group], tree: Mapping, blocks: tuple[str, ...]) -> frozenset[str]:
    """The keys that went down with syntax faults: those that cannot be told apart from missing."""
    if not blocks:
        return frozenset()
    damaged = {block.split(":")[0].strip() for block in blocks}
    return frozenset(damaged | {key.name for key in keys(model) if tree.get(key.name) is None})
