"""A new stall's settings as a file: what was told, and commented out what may come next."""

from __future__ import annotations

import json
import re
from datetime import timedelta
from unicodedata import normalize

from showtime.settings.newstall.examples import EXAMPLES
from showtime.settings.newstall.typed_times import clock
from showtime.settings.newstall.values import Hours, NewStall, OpenOn, QuietTime
from showtime.settings.quantity import DAY, plain

_COLUMN = 32
_GAP = timedelta(minutes=6)
_GRID = timedelta(minutes=5)
_PLAIN = re.compile(r"[^\W\d_](?:[\w '’.&!()/+-]*[\w'’.!)])?")
_NOT_TEXT = {"null", "true", "false", "yes", "no", "on", "off", "y", "n"}


def composed(stall: NewStall) -> str:
    """The text of the file: YAML, with a comment for whatever is not plain."""
    return "\n".join(
        [
            f"# The settings of {stall.names.stall}. After each change: showtime check, and the"
            " name of this file.",
            '# What begins with "#" counts for nothing; the examples count once their "# " is'
            " taken away.",
            _beside(f"fair: {_words(stall.names.fair or 'The Fair')}", "its name, as printed"),
            f"stall: {_words(stall.names.stall)}",
            f"figure: {_words(stall.figure)}",
            _beside(
                f"languages: [{', '.join(stall.speech.languages)}]",
                "phrase banks; the first is the default",
            ),
            _beside(f"timezone: {stall.speech.zone}", "all times below are in it"),
            _beside("# organiser: fair.yaml", "the fair's own file, if there is one"),
            "",
            _beside("days:", "one that closes at or before it opens ends after midnight"),
            *(_day(day) for day in stall.days),
            "",
            _beside("pieces:", "more of each: reset: 2 min, level: 74 dBA, heat: 40 K,"),
            _beside("", "current: 2.4 A, at_most: 6"),
            *(
                f"  - {{name: {_words(piece.name)}, lasts: {plain(piece.lasts)}}}"
                for piece in stall.pieces
            ),
            "",
            *_quiet(stall),
            "",
            _examples(stall),
        ]
    )


def file_name(stall: NewStall) -> str:
    """A name for its file, of small letters, digits and dashes."""
    folded = normalize("NFKD", stall.names.stall).encode("ascii", "ignore").decode().lower()
    words = re.findall(r"[a-z0-9]+", folded.replace("'", ""))
    named = "-".join(words[1:] if words[:1] == ["the"] else words)
    return f"{named[:40].strip('-') or 'my-stall'}.yaml"


def shortly_before(stall: NewStall) -> str:
    """A moment to try its first day from, two minutes before it opens: 2027-02-13T09:58."""
    day = stall.days[0]
    return f"{day.date}T{clock(max(timedelta(0), day.hours.opens - timedelta(minutes=2)))}"


def _beside(text: str, comment: str) -> str:
    return f"{text:<{_COLUMN}}# {comment}"


def _words(text: str) -> str:
    """A text as it may stand between braces; in quotes unless it can be nothing but text."""
    if _PLAIN.fullmatch(text) and text.lower() not in _NOT_TEXT:
        return text
    return json.dumps(text, ensure_ascii=False)


def _day(day: OpenOn) -> str:
    opens, closes = clock(day.hours.opens), clock(day.hours.closes)
    return f"  - {{date: {day.date}, opens: {opens}, closes: {closes}}}"


def _quiet(stall: NewStall) -> list[str]:
    """Without a quiet time the block itself is an example."""
    off = "" if stall.quiet else "# "
    return [
        _beside(f"{off}quiet:", "nothing sounds then"),
        *(_quiet_time(time) for time in stall.quiet),
        "#   - {why: bandstand, from: 10:55, until: 11:05, every: 60 min}",
        f"#   - {{why: opening speech, from: 10:00, until: 10:10, days: [{stall.days[0].date}]}}",
    ]


def _quiet_time(time: QuietTime) -> str:
    again = f", every: {plain(time.every)}" if time.every else ""
    days = f", days: [{', '.join(map(str, time.days))}]" if time.days else ""
    hours = f"from: {clock(time.hours.opens)}, until: {clock(time.hours.closes)}"
    return f"  - {{why: {_words(time.why)}, {hours}{again}{days}}}"


def _examples(stall: NewStall) -> str:
    hours = stall.days[0].hours
    in_place = {
        "GAP": plain(_GAP),
        "OFTEN": str(_often(stall)),
        "BUSY": clock(hours.opens),
        "CLOSES": clock(_middle(hours)),
    }
    text = EXAMPLES
    for name, value in in_place.items():
        text = text.replace(name, value)
    return text


def _often(stall: NewStall) -> int:
    """So many an hour that the longest piece fits as often as any: none is left out for being long.

    Four at most, on the grid of five minutes.
    """
    turn = -(-(max(piece.lasts for piece in stall.pieces) + _GAP) // _GRID) * _GRID
    return max(1, min(4, timedelta(hours=1) // turn))


def _middle(hours: Hours) -> timedelta:
    """About halfway between opening and closing, to the quarter of an hour where that is after
    opening."""
    length = hours.closes - hours.opens
    half = (length if length > timedelta(0) else length + DAY) / 2
    quarters = half // timedelta(minutes=15)
    end = hours.opens + (timedelta(minutes=15) * quarters if quarters else half)
    return end if end <= DAY else end - DAY
