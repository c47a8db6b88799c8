"""What a set of performances is worth by each wish, as it is shown to people."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from showtime.fair import Day, Performance
from showtime.fair.wishes import Wish, waits


def value(day: Day, wish: Wish, performances: Sequence[Performance]) -> float:
    """Total worth; mean wait in minutes; sum of ranks; most- less least-played piece."""
    starts = [performance.starts for performance in performances]
    match wish:
        case Wish.PERFORMANCES:
            return float(sum(day.wishes.worth(start) for start in starts))
        case Wish.WAIT:
            squares = sum(gap.total_seconds() ** 2 for gap in waits(day.hours, starts))
            return squares / (2 * day.hours.length.total_seconds()) / 60
        case Wish.ROUND_TIMES:
            return float(sum(day.wishes.rank(day.local(start).minute) for start in starts))
        case Wish.EVEN_PIECES:
            played = Counter(performance.piece.name for performance in performances)
            counts = [played[piece.name] for piece in day.pieces]
            return float(max(counts) - min(counts))
