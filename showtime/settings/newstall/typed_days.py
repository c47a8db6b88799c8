"""Days with their hours, as people type them: `tomorrow 10-17`, `sat 10 to 17, sun 10-16`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date

from showtime.settings.kinds import likeliest
from showtime.settings.newstall.typed_dates import MOST_DAYS, WORDS, dates_in
from showtime.settings.newstall.typed_times import RANGE, alike, hours_of, in_figures, without
from showtime.settings.newstall.values import AnswerError, Hours, OpenOn

_FILLING = {
    "", "a", "and", "at", "both", "daily", "day", "days", "each", "every", "from", "hours", "on",
    "open", "the", "with",
}  # fmt: skip


def days(text: str, usual: Sequence[OpenOn], today: date) -> tuple[OpenOn, ...]:
    """Days with their hours; without hours the usual ones, without days the usual ones too.

    Hours that stand after some days are for all of those; hours that stand first are for those
    after them.
    """
    typed = in_figures(alike(text))
    dated = dates_in(typed, today)
    rest = without(typed, [(found.start, found.end) for found in dated])
    ranges = [*RANGE.finditer(rest)]
    _all_read(without(rest, [found.span() for found in ranges]))
    timed = [(found.start(), hours_of(found["opens"], found["closes"])) for found in ranges]
    if not dated and not timed:
        raise AnswerError("this names no day and no hours; write such as 13 Feb 10-17")
    if not dated:
        if len(timed) > 1:
            raise AnswerError("there are hours for several days; name the days too")
        return tuple(OpenOn(day.date, timed[0][1]) for day in usual)
    before = bool(timed) and timed[0][0] < dated[0].start
    found = [
        OpenOn(day, _hours_for(place.start, timed, usual[0].hours, before=before))
        for place in dated
        for day in place.days
    ]
    return _each_once(sorted(found, key=lambda day: day.date))


def _hours_for(
    place: int, timed: Sequence[tuple[int, Hours]], usual: Hours, *, before: bool
) -> Hours:
    earlier = [hours for at, hours in timed if at < place]
    later = [hours for at, hours in timed if at > place]
    nearest = [*reversed(earlier), *later] if before else [*later, *reversed(earlier)]
    return nearest[0] if nearest else usual


def _each_once(found: Sequence[OpenOn]) -> tuple[OpenOn, ...]:
    for one, other in zip(found, found[1:], strict=False):
        if one.date == other.date:
            raise AnswerError(f"{one.date:%A} {one.date} is here twice; name it once")
    if len(found) > MOST_DAYS:
        raise AnswerError(f"these are {len(found)} days; there may be {MOST_DAYS} at most")
    return tuple(found)


def _all_read(rest: str) -> None:
    for word in re.split(r"[\s,;&+.:()/-]+", rest):
        if word.lower() not in _FILLING:
            meant = likeliest(word, [*WORDS])
            hint = f"did you mean {meant}?" if meant else "write such as 13 Feb 10-17"
            raise AnswerError(f"'{word[:40]}' is neither a day nor hours from when to when; {hint}")
