"""How well the figure is understood: for --json and as lines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from showtime.live import HearingDesk, Share, Trial, Understood

Document = dict[str, Any]


def document(
    desk: HearingDesk,
    heard: Sequence[Understood],
    shares: Iterable[Share],
    trials: Iterable[Trial],
) -> Document:
    """What was understood, as --json gives it."""
    return {
        "language": desk.bank.language,
        "voice": str(desk.speaking.recorded or desk.speaking.voice),
        "words_a_minute": desk.speaking.words_a_minute,
        "levels": [
            {
                "above_crowd_db": each.above_crowd_db,
                "spoken": each.spoken,
                "right": each.right,
                "share": round(each.share, 4),
            }
            for each in shares
        ],
        "misheard": [
            {"above_crowd_db": each.above_crowd_db, "spoken": each.spoken, "heard": each.heard}
            for each in heard
            if not each.right
        ],
        "trials": [
            {
                "change": each.change,
                "above_crowd_db": each.above_crowd_db,
                "before": round(each.before, 4),
                "after": round(each.after, 4),
            }
            for each in trials
        ],
    }


def lines(of: Document) -> Iterator[str]:
    """The same for a person: what was misheard, level by level, and what would help."""
    for level in of["levels"]:
        there = level["above_crowd_db"]
        yield f"{crowd(there)}: {level['right']} of {level['spoken']} times understood"
        for each in of["misheard"]:
            if each["above_crowd_db"] == there:
                taken = f"taken for {each['heard']!r}" if each["heard"] else "not understood"
                yield f"    {each['spoken']!r} {taken}"
    if of["trials"]:
        yield from _trials(of["trials"])
    yield "A recogniser is no crowd of visitors: it shows which times are the first to be lost."


def _trials(trials: Sequence[Document]) -> Iterator[str]:
    first = trials[0]
    yield (
        f"What would help {crowd(first['above_crowd_db'])}, tried on the times that were misheard "
        f"and some others ({first['before']:.0%} understood now):"
    )
    for each in sorted(trials, key=lambda trial: -trial["after"]):
        yield f"    {each['after']:>4.0%}  {each['change']}"


def crowd(above_db: float | None) -> str:
    """A level in words."""
    return "in a quiet room" if above_db is None else f"{above_db:g} dB above a crowd"
