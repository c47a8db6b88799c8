"""Plans that stalls bring, from anywhere: one stall's or a whole hall's, as JSON or as a table.

{day, stall, performances: [{starts, piece}]}
{day, stalls: [{stall, performances: [{starts, piece}]}]}
day,stall,starts,ends,piece      (in a table `day` and `ends` may be missing)
"""

from __future__ import annotations

import csv
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from io import StringIO
from pathlib import Path
from typing import Any

from showtime.fair import Performance
from showtime.fair.hall import Fair, HallDay
from showtime.live.asked import QuestionError
from showtime.live.files import performance_in

_NEEDS = (
    'it needs {"day": "2027-02-13", "stall": "...", "performances": [{"starts": '
    '"2027-02-13T14:30:00+00:00", "piece": "..."}]}, or a list of such under "stalls", '
    "or a table with the columns day, stall, starts, piece"
)
_COLUMNS = ("stall", "starts", "piece")


@dataclass(frozen=True)
class Entry:
    """One performance as it was written, and where."""

    place: str
    values: dict[str, Any]


@dataclass(frozen=True)
class Part:
    """What one file has of one stall's day."""

    place: str
    stall: str
    day: str
    entries: list[Entry] = field(default_factory=list)


def parts_of(file: Path) -> list[Part]:
    """What a file holds. QuestionError: it is no plan, with file:line:column."""
    try:
        text = file.read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is not text"
        raise QuestionError(f"{file}:1:1: cannot read the plan: {why}") from None
    if text.lstrip().startswith(("{", "[")):
        return list(_document(file, text))
    return _table(file, text)


def _document(file: Path, text: str) -> Iterator[Part]:
    try:
        body = json.loads(text)
    except json.JSONDecodeError as error:
        raise QuestionError(f"{file}:{error.lineno}:{error.colno}: not JSON: {error.msg}") from None
    except RecursionError:
        raise QuestionError(f"{file}:1:1: cannot read the plan: too deep") from None
    several = body.get("stalls", [body]) if isinstance(body, dict) else None
    if not isinstance(several, list):
        raise QuestionError(f"{file}:1:1: not a plan; {_NEEDS}")
    places = _Places(file, text)
    for one in several:
        performances = one.get("performances") if isinstance(one, dict) else None
        if not isinstance(performances, list) or not isinstance(one.get("stall"), str):
            raise QuestionError(f"{places.of(one)}: not a stall's plan; {_NEEDS}")
        day = one.get("day", body.get("day", ""))
        begins = places.of(one["stall"])
        entries = [_entry(places, each) for each in performances]
        yield Part(begins, one["stall"], str(day), entries)


def _entry(places: _Places, each: object) -> Entry:
    values = each if isinstance(each, dict) else {}
    return Entry(places.of(values.get("starts", each)), values)


class _Places:
    """Where values stand in a text in which they come one after the other."""

    def __init__(self, file: Path, text: str) -> None:
        self._file, self._text, self._from = file, text, 0

    def of(self, value: object) -> str:
        """The place of the next such value; of the last found when it cannot be told."""
        found = -1
        for ascii_only in (False, True):
            written = json.dumps(value, ensure_ascii=ascii_only)
            found = max(found, self._text.find(written, self._from))
        if found >= 0:
            self._from = found + 1
        before = self._text[: max(found, self._from - 1, 0)]
        line, column = before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1
        return f"{self._file}:{line}:{column}"


def _table(file: Path, text: str) -> list[Part]:
    first = text.partition("\n")[0]
    mark = max(",;\t", key=first.count)
    rows = csv.DictReader(StringIO(text, newline=""), delimiter=mark, strict=True)
    found: dict[tuple[str, str], Part] = {}
    try:
        heads = [head.strip().casefold() for head in rows.fieldnames or []]
        missing = [name for name in _COLUMNS if name not in heads]
        if missing:
            raise QuestionError(f"{file}:1:1: not a plan: no {' and no '.join(missing)}; {_NEEDS}")
        for row in rows:
            values = _cells(heads, row)
            part = found.setdefault(
                (values["stall"], values.get("day", "")),
                Part(f"{file}:{rows.line_num}:1", values["stall"], values.get("day", "")),
            )
            part.entries.append(Entry(f"{file}:{rows.line_num}:1", values))
    except csv.Error as error:
        raise QuestionError(f"{file}:{rows.line_num}:1: not a table: {error}") from None
    return list(found.values())


def _cells(heads: Sequence[str], row: dict[str, Any]) -> dict[str, str]:
    """The row by its heads. A cell that was kept from being a formula is itself again."""
    cells = [str(cell or "") for key, cell in row.items() if key is not None]
    plain = [cell[1:] if cell[:1] == "'" and cell[1:2] in "=+-@\t\r" else cell for cell in cells]
    values = dict(zip(heads, plain, strict=False))
    return {name: value for name, value in values.items() if value or name in _COLUMNS}


@dataclass(frozen=True)
class Brought:
    """The plans that were brought, by stall; a stall that brought none is silent."""

    hall: HallDay
    performances: tuple[tuple[Performance, ...], ...]
    stalls: tuple[str, ...]


def brought(fair: Fair, hall: HallDay, parts: Sequence[Part]) -> Brought:
    """What the parts say of this day. QuestionError tells all that cannot be understood."""
    wrong: list[str] = []
    given: dict[str, tuple[str, list[Performance]]] = {}
    for part in parts:
        trouble = _trouble(fair, hall, part, given)
        if trouble:
            wrong.append(f"{part.place}: {trouble}")
            continue
        given[part.stall] = part.place, list(_performances(fair, hall, part, wrong))
    if wrong:
        raise QuestionError("\n".join(wrong))
    played = tuple(tuple(given[name][1]) if name in given else () for name in hall.names)
    return Brought(hall, played, tuple(name for name in hall.names if name in given))


def _trouble(
    fair: Fair, hall: HallDay, part: Part, given: dict[str, tuple[str, list[Performance]]]
) -> str:
    if part.stall in given:
        return f"{part.stall} has brought a plan already, at {given[part.stall][0]}"
    if part.stall in hall.names:
        return ""
    if part.stall in [stand.name for stand in fair.stands]:
        return f"{part.stall} is not open on {hall.date}"
    near = get_close_matches(part.stall, hall.names, 1)
    hint = f"did you mean {near[0]}?" if near else f"there are {', '.join(hall.names)}"
    return f"no stall of this fair is called {part.stall!r}; {hint}"


def _performances(fair: Fair, hall: HallDay, part: Part, wrong: list[str]) -> Iterator[Performance]:
    day = hall.days[hall.number(part.stall)]
    stall = next(stand.stall for stand in fair.stands if stand.name == part.stall)
    for entry in part.entries:
        try:
            yield performance_in(stall, day, entry.values)
        except (KeyError, TypeError, QuestionError) as error:
            why = f"{error} is missing" if isinstance(error, KeyError) else error
            wrong.append(f"{entry.place}: not a performance: {why}")
