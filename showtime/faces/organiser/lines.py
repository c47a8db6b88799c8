"""The hall on a terminal: a line for whatever is new, with the time it is. Pure but for `write`."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from showtime.faces.organiser.sight import Mark, Row, Sight


def printable(text: str) -> str:
    """The text without what a terminal might obey: names come from other people's machines."""
    return "".join(letter if letter.isprintable() else " " for letter in text)


class HallLines:
    """Writes one line for whatever is new since the hall was last shown."""

    def __init__(self, write: Callable[[str], None]) -> None:
        self._write = write
        self._shown: Sight | None = None

    def show(self, sight: Sight, at: str, notes: Sequence[str] = ()) -> None:
        """`at` is the time of day, `notes` are lines that are no news of the hall."""
        for line in (*news(self._shown, sight), *notes):
            self._write(f"{at}  {printable(line)}")
        self._shown = sight


def news(before: Sight | None, sight: Sight) -> Iterator[str]:
    """What somebody who saw `before` is told."""
    known = {row.name: row for row in before.rows} if before else {}
    for row in sight.rows:
        yield from _of_stall(known.get(row.name), row)
    yield from _of_quiet(before, sight)
    if before is None and sight.absent:
        yield f"Not on the line: {', '.join(sight.absent)}"
    for line in sight.troubles:
        if before is None or line not in before.troubles:
            yield f"! {line}"
    for line in before.troubles if before else ():
        if line not in sight.troubles:
            yield f"no longer: {line}"


def _of_stall(before: Row | None, row: Row) -> Iterator[str]:
    if before is not None and before.word == row.word:
        return
    if row.mark is Mark.GONE:
        if before is not None:
            yield f"{row.name}: {row.word}. {row.doing}"
    elif row.mark is Mark.SOUNDING:
        yield f"{row.name}: {row.doing}"
    elif before is None or before.mark is Mark.GONE:
        yield f"{row.name}: here, {row.word}. {row.next}".rstrip()
    else:
        yield f"{row.name}: {row.word}. {row.next}".rstrip()


def _of_quiet(before: Sight | None, sight: Sight) -> Iterator[str]:
    known = {hush.call: hush for hush in before.hushes} if before else {}
    for call, hush in known.items():
        if not hush.lifted and all(each.call != call for each in sight.hushes):
            yield f"The quiet is over: {hush.why}"
    for hush in sight.hushes:
        earlier = known.get(hush.call)
        if earlier is None and not hush.lifted:
            yield f"QUIET until {hush.until}: {hush.why}"
        if earlier is None or (earlier.missing, earlier.away) != (hush.missing, hush.away):
            yield "; ".join((hush.confirmed, *hush.named))
    if not sight.hushes and any(hush.lifted for hush in known.values()):
        yield "All stalls know that the quiet is over"
