"""The small tables of a pack, as CSV (RFC 4180): numbers first, so that a controller can cut a line
at its commas; words last, for people and for checking."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from showtime.fair import Performance, Plan, QuietInterval
from showtime.figure.pack_choice import Answers
from showtime.figure.pack_pieces import LANGUAGES_APART_MS, Piece, Token, pieces_in
from showtime.figure.pack_windows import Axis, Window
from showtime.wording import Kind

FORMAT = 1
SETTING_LETTERS = {Kind.UNDERSTOOD: "H", Kind.CLOCK_SET: "C"}
"""What was heard, and what the clock shows: a table for each hour of the day."""

Row = Sequence[object]
Rows = tuple[tuple[Token, ...], ...]


def table(head: Sequence[str], rows: Iterable[Row]) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(head)
    writer.writerows(rows)
    return text.getvalue().encode()


@dataclass(frozen=True)
class Answer:
    """A window with its sentences, each as a row of clips in all its languages."""

    window: Window
    rows: Rows


def together(window: Window, languages: Sequence[Answers]) -> Answer:
    """The sentences of a window in several languages, one language after the other."""
    count = min(len(each.chosen) for each in languages)
    chosen = [[sentence.row for sentence in each.chosen[:count]] for each in languages]
    return Answer(window, tuple(one_after_the_other(rows) for rows in zip(*chosen, strict=True)))


def one_after_the_other(rows: Sequence[tuple[Token, ...]]) -> tuple[Token, ...]:
    whole: list[Token] = []
    for row in rows:
        whole += [LANGUAGES_APART_MS, *row] if whole else row
    return tuple(whole)


def numbered(every: Iterable[tuple[Token, ...]]) -> dict[Piece, int]:
    """The pieces' numbers, from 1, as they come."""
    numbers: dict[Piece, int] = {}
    for row in every:
        for token in row:
            if isinstance(token, Piece):
                numbers.setdefault(token, len(numbers) + 1)
    return numbers


def row_text(row: Iterable[Token], numbers: Mapping[Piece, int]) -> str:
    """Clip numbers, and silences as what is below zero."""
    return " ".join(str(-t if isinstance(t, int) else numbers[t]) for t in row)


def clip_name(number: int) -> str:
    return f"CLIPS/{number // 100:02}/{number:04}.WAV"


def plan_table(plan: Plan, latest: Mapping[Performance, int]) -> bytes:
    axis = Axis(plan.day)
    names = [piece.name for piece in plan.day.pieces]
    return table(
        ("start", "begins", "latest", "lasts", "piece"),
        (
            (
                number,
                axis.seconds(each.starts),
                axis.seconds(each.starts) + latest[each],
                _seconds(each.piece.lasts),
                names.index(each.piece.name) + 1,
            )
            for number, each in enumerate(plan.performances, start=1)
        ),
    )


def piece_table(plan: Plan) -> bytes:
    return table(
        ("piece", "lasts", "answers", "name"),
        (
            (number, _seconds(piece.lasts), piece.answers.value, piece.name)
            for number, piece in enumerate(plan.day.pieces, start=1)
        ),
    )


def quiet_table(plan: Plan) -> bytes:
    axis = Axis(plan.day)

    def row(quiet: QuietInterval) -> Row:
        span, hush = quiet.span, quiet.forbidden
        moments: tuple[datetime, ...] = (span.start, span.end, hush.start, hush.end)
        return (*(axis.seconds(moment) for moment in moments), quiet.answers.value, quiet.why)

    return table(
        ("from", "until", "hush_from", "hush_until", "answers", "why"),
        [row(quiet) for quiet in sorted(plan.day.quiet, key=lambda each: each.span.start)],
    )


def call_table(plan: Plan) -> bytes:
    return table(("before",), [(_seconds(early),) for early in plan.day.calls])


def answer_table(answers: Sequence[Answer], axis: Axis) -> bytes:
    return table(
        ("list", "kind", "start", "at", "from", "until", "sentences"),
        (
            (
                number,
                each.window.kind.value,
                each.window.start,
                -1 if each.window.situation.at is None else axis.seconds(each.window.situation.at),
                each.window.begins,
                each.window.ends,
                len(each.rows),
            )
            for number, each in enumerate(answers, start=1)
        ),
    )


def list_tables(
    answers: Sequence[Answer], numbers: Mapping[Piece, int]
) -> Iterable[tuple[str, bytes]]:
    for number, each in enumerate(answers, start=1):
        rows = ((row_text(row, numbers),) for row in each.rows)
        yield f"WORDS/L{number:04}.CSV", table(("clips",), rows)


def setting_tables(
    setting: Mapping[Kind, Sequence[Rows]], numbers: Mapping[Piece, int]
) -> Iterable[tuple[str, bytes]]:
    for kind, minutes in setting.items():
        for hour in range(24):
            rows = (
                (minute, row_text(row, numbers))
                for minute in range(60)
                for row in minutes[60 * hour + minute]
            )
            name = f"WORDS/{SETTING_LETTERS[kind]}{hour:02}.CSV"
            yield name, table(("minute", "clips"), rows)


def clip_table(numbers: Mapping[Piece, int], sounds: Mapping[Piece, bytes], rate: int) -> bytes:
    return table(
        ("clip", "milliseconds", "language", "voice", "text"),
        (
            (
                number,
                round((len(sounds[piece]) - 44) / 2 / rate * 1000),
                piece.language,
                "recorded" if piece.recorded else "embedded",
                piece.text,
            )
            for piece, number in numbers.items()
        ),
    )


def pieces_of(answers: Iterable[Answer]) -> frozenset[Piece]:
    return frozenset(piece for each in answers for row in each.rows for piece in pieces_in(row))


def _seconds(length: timedelta) -> int:
    return round(length.total_seconds())
