"""Files that a command is given or finds: phrase banks, plans from anywhere, what was said last."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from showtime.fair import Day, Performance, Piece, Stall
from showtime.live.asked import QuestionError, day_of, moment_of
from showtime.live.state import REMEMBERED
from showtime.settings import shipped
from showtime.wording import Bank, parse_bank


def bank_of(language: str, beside: Path | None = None, file: Path | None = None) -> Bank:
    """The bank in `file`; else the maker's in `phrasebanks/` beside the settings; else ours, which
    also speaks in situations that the maker left out."""
    own = beside / "phrasebanks" / f"{language}.yaml" if beside else None
    path = file or (own if own and own.is_file() else None)
    if path is None:
        return _read(shipped(f"phrasebanks/{language}.yaml"), language, lambda language: None)
    return _read(path, language, _ours)


def _ours(language: str) -> Bank | None:
    path = shipped(f"phrasebanks/{language}.yaml")
    return _read(path, language, lambda language: None) if path.is_file() else None


def _read(path: Path, language: str, otherwise: Callable[[str], Bank | None]) -> Bank:
    try:
        text = path.read_text("utf-8")
    except FileNotFoundError:
        raise QuestionError(f"{path}:1:1: there is no phrase bank for {language!r} yet") from None
    except (OSError, UnicodeDecodeError) as error:
        raise QuestionError(f"{path}:1:1: cannot read the phrase bank: {error}") from None
    return parse_bank(text, str(path), otherwise)


def plan_from(file: Path, stall: Stall, day: str, now: datetime) -> tuple[Day, list[Performance]]:
    """A plan written by anybody as JSON: `{day, performances: [{starts, piece}]}`."""
    try:
        text = file.read_text("utf-8")
        body = json.loads(text)
    except json.JSONDecodeError as error:
        raise QuestionError(f"{file}:{error.lineno}:{error.colno}: not JSON: {error.msg}") from None
    except (OSError, UnicodeDecodeError, RecursionError) as error:
        raise QuestionError(f"{file}:1:1: cannot read the plan: {error}") from None
    entries = body.get("performances") if isinstance(body, dict) else None
    if not isinstance(entries, list):
        raise QuestionError(f"{file}:1:1: not a plan; it needs {_EXAMPLE}")
    chosen = day_of(stall, day or str(body.get("day", "")), now)
    performances = []
    for entry in entries:
        try:
            performances.append(performance_in(stall, chosen, entry))
        except (KeyError, TypeError, QuestionError) as error:
            wrong = f"{error} is missing" if isinstance(error, KeyError) else error
            raise QuestionError(
                f"{file}:{place_in(text, entry)}: not a performance: {wrong}; it needs {_EXAMPLE}"
            ) from None
    return chosen, performances


_EXAMPLE = '{"performances": [{"starts": "2027-02-13T14:30:00+00:00", "piece": "..."}]}'


def place_in(text: str, entry: object) -> str:
    """Where a performance stands in the file, found again by one of its values."""
    values = list(entry.values()) if isinstance(entry, dict) else [entry]
    found = [text.find(json.dumps(value, ensure_ascii=False)) for value in values]
    before = text[: max(0, *found, 0)]
    return f"{before.count(chr(10)) + 1}:{len(before) - (before.rfind(chr(10)) + 1) + 1}"


def performance_in(stall: Stall, day: Day, entry: dict[str, Any]) -> Performance:
    """What `{starts, piece}` means on that day. KeyError, TypeError, QuestionError: it is none."""
    starts = moment_of(stall, str(entry["starts"]), "starts")
    name = str(entry["piece"])
    known = next((piece for piece in day.pieces if piece.name == name), None)
    if known is not None:
        return Performance(starts, known)
    # The verifier is to say that nobody knows this piece, so it gets one with the length given.
    ends = moment_of(stall, str(entry["ends"]), "ends") if "ends" in entry else None
    lasts = ends - starts if ends and ends > starts else timedelta(minutes=1)
    return Performance(starts, Piece(name, lasts))


def remembered(file: Path) -> tuple[str, ...]:
    """The last sentences said at this computer; none where there is no such file yet."""
    try:
        said = json.loads(file.read_text("utf-8"))
    except (OSError, ValueError):
        return ()
    return tuple(str(text) for text in said) if isinstance(said, list) else ()


def remember(file: Path, said: Sequence[str]) -> None:
    """Keep the last sentences for the next time. A folder that cannot be written to forgets."""
    fresh = file.with_suffix(".new")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        fresh.write_text(json.dumps(list(said[-REMEMBERED:]), ensure_ascii=False), "utf-8")
        fresh.replace(file)
    except OSError:
        return
