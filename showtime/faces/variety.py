"""How varied a phrase bank is: as a document for --json, and for a person as a page with a plot."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING, Any

from showtime.fair import ShowtimeError
from showtime.wording import Audit, Bank, Bar, Kind, Situation, Varied, audit

if TYPE_CHECKING:
    from showtime.live import Desk

Document = dict[str, Any]


REASON = "the belt slipped"
"""Stands in for the keeper's reasons, which are known only on the day."""


class PictureError(ShowtimeError):
    """The picture cannot be written where it was wanted."""


AHEAD = timedelta(minutes=2)
"""Before the start that is told: near enough for its minutes to be told too."""


def judged(desk: Desk, bank: Bank, at: str, seed: int) -> Document:
    """The audit of a bank at the desk's stall, for a start at `at`. Raises TooTangledError."""
    stall = desk.stall
    pieces = dict.fromkeys(piece.name for day in stall.days for piece in day.pieces)
    manner = stall.speaking.by_language.get(bank.language, stall.speaking)
    found = audit(
        bank,
        _situations(desk, at),
        (stall.signboard.figure, stall.signboard.stall, *pieces),
        manner.words_a_minute,
        Random(seed),
    )
    return document(found, bank)


def _situations(desk: Desk, at: str) -> Iterator[Situation]:
    for kind in Kind:
        told = desk.situation(kind.value, at, "")
        assert told.at is not None
        told = replace(told, now=told.at - AHEAD, why=REASON, bars=frozenset(Bar))
        yield told
        yield replace(told, at=None)


def show(found: Document) -> None:
    """Print the audit, at most 80 columns wide; without colours where NO_COLOR is set."""
    from rich.console import Console

    from showtime.faces.variety_page import Page

    console = Console(highlight=False)
    console.print(Page(found, colour=not console.no_color))


def draw(found: Document, figure_name: str, file: Path) -> None:
    """Draw the audit as SVG. Raises PictureError."""
    from showtime.faces.variety_picture import picture

    try:
        file.write_text(picture(found, figure_name), "utf-8")
    except OSError as error:
        raise PictureError(f"{file}: cannot write the picture: {error.strerror}") from None


def document(found: Audit, bank: Bank) -> Document:
    """Chances and shares are fractions of one; answers until a repeat are counted up to and with
    it, and null where none came; seconds of speech are estimates."""
    told = {row.kind for row in found.situations if row.tells}
    either = {row.kind for row in found.situations if not row.tells} & told
    return {
        "language": found.language,
        "situations": [_situation(row, row.kind in either) for row in found.situations],
        "never_reached": [str(problem) for problem in found.never_reached],
        "mispronounced": [
            {"word": each.word, "why": each.why, "where": str(each.where) if each.where else None}
            for each in found.doubtful
        ],
        "warnings": [str(problem) for problem in bank.warnings],
    }


def _situation(row: Varied, either: bool) -> Document:
    one, two, three = (round(share, 4) for share in row.distinct_runs)
    return {
        "situation": row.kind.value,
        "tells_a_time": row.tells,
        "without_its_start": either and not row.tells,
        "templates": len(row.shares),
        "distinct": row.distinct,
        "distinct_by_ear": row.by_ear,
        "repeat_after": {
            "likely": _rounded(row.likely_after),
            "without_memory": _rounded(row.without_memory),
            "with_memory": row.with_memory,
        },
        "distinct_1": one,
        "distinct_2": two,
        "distinct_3": three,
        "shares": [
            {
                "template": share.template,
                "where": str(share.where),
                "distinct": share.distinct,
                "by_weight": round(share.by_weight, 4),
                "heard": round(share.heard, 4),
            }
            for share in row.shares
        ],
        "moods": [
            {
                "mood": moody.mood.value,
                "distinct": moody.distinct,
                "templates": list(moody.own),
                "reached": list(moody.reached),
                "by_weight": round(moody.by_weight, 4),
            }
            for moody in row.moods
        ],
        "shortest": {"seconds": round(row.shortest.seconds, 2), "text": row.shortest.text},
        "longest": {"seconds": round(row.longest.seconds, 2), "text": row.longest.text},
        "nearly_alike": [list(pair) for pair in row.alike],
    }


def _rounded(answers: float | None) -> float | None:
    return None if answers is None else round(answers, 1)


def name_of(row: Document) -> str:
    """A situation as the page and the picture call it."""
    return str(row["situation"]) + (", no start" if row["without_its_start"] else "")


def figure(number: float | None) -> str:
    """A count in as few signs as keep its size: 62,124, 1.3 million, 10^30."""
    if number is None:
        return "?"
    if number < 1_000_000:
        return f"{round(number):,}"
    if number < 1_000_000_000:
        return f"{number / 1_000_000:.1f} million"
    return f"10^{len(str(int(number))) - 1}"


def remarks(found: Document) -> Iterator[tuple[str, list[str]]]:
    """What the maker may want to mend: a heading and its lines; headings without lines left out."""
    rows = found["situations"]
    never = found["never_reached"]
    kept = [
        ("never said", never),
        ("to be looked at", [each for each in found["warnings"] if each not in never]),
        ("the voice may say wrong", [_word(each) for each in found["mispronounced"]]),
        ("too few sentences for a hundred answers without a repeat", list(_short_of_words(rows))),
        ("not heard in their mood", list(_unheard(rows))),
        ("said in one mood alone", list(_moods(rows))),
        ("nearly alike by ear", list(_pairs(rows))),
        ("longest and shortest", list(_lengths(rows))),
    ]
    return ((heading, lines) for heading, lines in kept if lines)


def _word(each: Document) -> str:
    return f"{each['where'] or 'in the settings'}: {each['word']}: {each['why']}"


def _short_of_words(rows: Iterable[Document]) -> Iterator[str]:
    for row in rows:
        for share in row["shares"]:
            if share["distinct"] < 100 * share["by_weight"]:
                yield (
                    f"{share['where']}: {name_of(row)}, template {share['template']}: "
                    f"{_sentences(share['distinct'])} for {share['by_weight']:.0%} of the answers"
                )


def _sentences(number: int) -> str:
    return "1 sentence" if number == 1 else f"{number} different sentences"


def _unheard(rows: Iterable[Document]) -> Iterator[str]:
    for row in rows:
        for mood in row["moods"]:
            missing = [str(each) for each in mood["templates"] if each not in mood["reached"]]
            if missing:
                yield f"{name_of(row)}, {mood['mood']}: template {', '.join(missing)}"


def _moods(rows: Iterable[Document]) -> Iterator[str]:
    for row in rows:
        for mood in row["moods"]:
            if mood["templates"]:
                numbers = ", ".join(map(str, mood["templates"]))
                yield (
                    f"{name_of(row)}, {mood['mood']}: template {numbers}, "
                    f"{mood['by_weight']:.0%} of the answers then, "
                    f"{figure(mood['distinct'])} different sentences in all"
                )


def _pairs(rows: Iterable[Document]) -> Iterator[str]:
    for row in rows:
        for one, other in row["nearly_alike"][:1]:
            yield f"{name_of(row)}: {one}  =  {other}"


def _lengths(rows: list[Document]) -> Iterator[str]:
    if rows:
        longest = max(rows, key=lambda row: float(row["longest"]["seconds"]))
        shortest = min(rows, key=lambda row: float(row["shortest"]["seconds"]))
        for row, end in ((longest, "longest"), (shortest, "shortest")):
            yield f"{row[end]['seconds']:.1f} s, {name_of(row)}: {row[end]['text']}"
