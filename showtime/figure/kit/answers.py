"""Which sentence to say: one that was not said since all the others of its list were."""

TYPE_CHECKING = False
if TYPE_CHECKING:  # boards have no typing; a checker reads this as true
    from collections.abc import Callable

    from showtime.figure.kit.pack import Pack

HEARD = "H"
CLOCK = "C"


class Answers:
    """`luck` gives a whole number from 0 to below what it is asked for."""

    def __init__(self, pack: "Pack", luck: "Callable[[int], int]") -> None:
        self._pack = pack
        self._luck = luck
        self._said: dict[object, int] = {}  # for each list a bit for each sentence
        self._last: dict[object, int] = {}

    def find(self, kind: str, start: int, now: int) -> "tuple[int, int, int] | None":
        """The list for a kind and a start at `now`, the time that it tells (-1: none), and of how
        many sentences; None: there is none."""
        wanted = str(start)
        for number, of, about, at, begins, ends, count in self._pack.rows("ANSWERS.CSV", 7):
            if of == kind and about == wanted and int(begins) <= now < int(ends):
                return int(number), int(at), int(count)
        return None

    def clips(self, number: int, count: int) -> "list[int]":
        """One sentence of a list, as clips and silences."""
        place = self._next(number, count)
        for (row,) in self._pack.rows(f"WORDS/L{number:04}.CSV", 1):
            if place == 0:
                return [int(part) for part in row.split()]
            place -= 1
        return []

    def of_the_minute(self, letter: str, minute: int) -> "list[int]":
        """What to say of a minute of the day that was dialled, or that the clock was set to."""
        name = f"WORDS/{letter}{minute // 60:02}.CSV"
        wanted = str(minute % 60)
        count = sum(1 for row in self._pack.rows(name, 1) if row[0] == wanted)
        place = self._next(letter, count) if count else 0
        for of, row in self._pack.rows(name, 2):
            if of == wanted:
                if place == 0:
                    return [int(part) for part in row.split()]
                place -= 1
        return []

    def _next(self, key: object, count: int) -> int:
        """The place of a sentence that has not had its turn yet, and is not the one just said."""
        said = self._said.get(key, 0)
        left = [place for place in range(count) if not said >> place & 1]
        if not left:
            said = 0
            last = self._last.get(key, -1) if count > 1 else -1
            left = [place for place in range(count) if place != last]
        place = left[self._luck(len(left))]
        self._said[key] = said | 1 << place
        self._last[key] = place
        return place
