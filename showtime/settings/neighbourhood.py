"""What the stalls of one fair owe to each other, and what the fair's rules say of them."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from pathlib import Path

from showtime.fair import Where
from showtime.fair.hall import Place
from showtime.settings.fairfile import (
    FairCapGroup,
    FairFile,
    HallNoiseGroup,
    StallByFile,
    StallInPlace,
)
from showtime.settings.kinds import likeliest, short
from showtime.settings.problem import Problems
from showtime.settings.stallfile import StallFile
from showtime.settings.tree import Scalar
from showtime.settings.tree import Sequence as Listing


@dataclass(frozen=True)
class Entry:
    """A stall on its fair's list. `written`: its settings, read from `path`; None: not readable."""

    written: StallFile | None
    path: Path
    group: StallByFile | StallInPlace
    place: Place | None
    file: str = ""

    @property
    def name(self) -> str:
        """Empty when it cannot be told."""
        return self.written.stall if self.written else ""

    @property
    def known_as(self) -> str:
        """The user that it is on the fair's line; empty when it is none."""
        line = self.written.fairnet if self.written else None
        return (line.user or "") if line else ""

    @property
    def known_at(self) -> Where:
        line = self.written.fairnet if self.written else None
        return line.where_of("user") if line else self.group.where

    @property
    def named_at(self) -> Where:
        return self.written.where_of("stall") if self.written else self.group.where


def check_neighbourhood(entries: Sequence[Entry], fair: FairFile, problems: Problems) -> None:
    """Names and places are each stall's own, and the fair's rules name stalls that there are."""
    _check_apart(
        entries,
        lambda entry: " ".join(entry.name.casefold().split()) or None,
        lambda entry: entry.named_at,
        lambda entry, at: f"'{entry.name}' is the name of another stall too, at {at}; rename one",
        problems,
    )
    _check_apart(
        entries,
        lambda entry: entry.place,
        lambda entry: entry.group.where_of("place"),
        lambda entry, at: (
            f"{entry.name or 'another stall'} stands in this very place too, at {at}; move one"
        ),
        problems,
    )
    _check_apart(
        entries,
        lambda entry: entry.known_as or None,
        lambda entry: entry.known_at,
        lambda entry, at: (
            f"the broker knows {entry.name} by this name, at {at}; give each stall"
            " its own, or one could speak for another"
        ),
        problems,
    )
    _check_named(entries, fair, problems)
    if fair.noise:
        _check_levels(entries, fair.noise[0].where, problems)


def _check_apart(
    entries: Sequence[Entry],
    what: Callable[[Entry], Hashable],
    where: Callable[[Entry], Where],
    said: Callable[[Entry, Where], str],
    problems: Problems,
) -> None:
    """No two stalls have the same of something; both places are named."""
    first: dict[Hashable, Entry] = {}
    for entry in entries:
        own = what(entry)
        if own is None:
            continue
        other = first.setdefault(own, entry)
        if other is entry:
            continue
        here, there = where(entry), where(other)
        if here == there:  # both have it from one anchor, and the entries tell them apart
            here, there = entry.group.where, other.group.where
        problems.add(here, said(other, there))


def _check_named(entries: Sequence[Entry], fair: FairFile, problems: Problems) -> None:
    """Rules for some stalls name those on the list; not judged while some name is not known."""
    names = [entry.name for entry in entries]
    listed = fair.node.get("stalls")
    whole = isinstance(listed, Listing) and len(listed.items) == len(names)
    if not whole or not all(names) or "stalls" in fair.lost:
        return
    groups: list[FairCapGroup | HallNoiseGroup] = [*fair.caps, *fair.noise]
    for group in groups:
        for name in group.stalls or ():
            if name not in names:
                near = likeliest(name, names)
                meant = f"did you mean '{near}'?" if near else "write one as its settings name it"
                problems.add(
                    _where_of_name(group, name), f"the fair has no stall '{short(name)}'; {meant}"
                )


def _where_of_name(group: FairCapGroup | HallNoiseGroup, name: str) -> Where:
    node = group.node.get("stalls")
    for item in node.items if isinstance(node, Listing) else ():
        if isinstance(item, Scalar) and item.text.strip() == name:
            return item.where
    return group.where_of("stalls")


def _check_levels(entries: Sequence[Entry], rule: Where, problems: Problems) -> None:
    """Where noise is limited, every piece tells how loud it is."""
    for entry in entries:
        for piece in entry.written.pieces if entry.written else ():
            if piece.level is None:
                problems.add(
                    piece.where,
                    f"'{piece.name}' has no level, and the fair limits the noise, at {rule};"
                    " add level: 74 dBA, as measured at 1 m",
                )
