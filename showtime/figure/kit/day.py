"""The day as it goes: what is due, and what to answer. Times are seconds from midnight.

After power-on the day is held, and nothing moves before it is released.
"""

TYPE_CHECKING = False
if TYPE_CHECKING:  # boards have no typing; a checker reads this as true
    from showtime.figure.kit.pack import Pack

START = "start"
FINISH = "finish"
CALL = "call"

SOON = 180
"""A start this near is told as soon."""

STILL_THERE = 600
"""So long after a told time that was missed somebody may still be there to hear of it."""

CALLED_ENOUGH = 60
"""Nobody needs calling who was answered within this."""

CALL_LATE = 30
PUNCTUAL = 2
TWO_DAYS = 172_800

ALOUD = "aloud"


class Day:
    """One day's plan, from the pack. `now` is None while nobody has said what time it is."""

    def __init__(self, pack: "Pack") -> None:
        self.opens = int(pack.value("opens"))
        self.closes = int(pack.value("closes"))
        self._tomorrow = int(pack.value("tomorrow"))
        self._plan = pack.numbers("PLAN.CSV", 5)
        self._calls = [before for (before,) in pack.numbers("CALLS.CSV", 1)]
        self._quiet = [
            (int(a), int(b), int(c), int(d), how) for a, b, c, d, how in pack.rows("QUIET.CSV", 5)
        ]
        self._answers = {int(n): how for n, _, how in pack.rows("PIECES.CSV", 3)}
        self.held = True
        self.playing = 0  # the number of the start that plays
        self.coming = 1 if self._plan else 0  # the number of the next start; 0: there is none
        self._ends = 0
        self._done = 0  # a bit for each start that was made
        self._told = 0  # a bit for each start that was told
        self._sorry_until = -1
        self._looked = -1
        self._answered = -CALLED_ENOUGH

    def begins(self, start: int) -> int:
        return int(self._plan[start - 1][1])

    def piece(self, start: int) -> int:
        return int(self._plan[start - 1][4])

    def clock_set(self, was: "int | None", now: int) -> None:
        """The clock was set. What plays takes no longer for it; what was missed by mistake, and has
        not passed yet, is to come again."""
        if self.playing and was is not None:
            self._ends += now - was
        self._looked = now
        self._answered = -CALLED_ENOUGH
        self.coming = 0
        for row in reversed(self._plan):
            if row[2] >= now and not self._done >> row[0] & 1:
                self.coming = row[0]

    def hold(self) -> None:
        """Everything stops."""
        self.held = True
        self.playing = 0

    def release(self) -> None:
        self.held = False

    def step(self, now: int) -> "tuple[str, int] | None":
        """What is due: START, FINISH or CALL, and the number of its start. Ask until it is None."""
        due = self._due(now)
        if due is None:
            self._looked = now
        return due

    def _due(self, now: int) -> "tuple[str, int] | None":
        if self.playing and now >= self._ends:
            self.playing, finished = 0, self.playing
            return FINISH, finished
        while self.coming and now > max(self._plan[self.coming - 1][2], self._punctual()):
            self._miss(now)
        start = self.coming
        if not start or self.held or self.playing:
            return None
        if now >= self.begins(start):
            self.playing = start
            self._ends = now + self._plan[start - 1][3]
            self._done |= 1 << start
            self._advance()
            return START, start
        if self._calls_now(start, now):
            self._looked = self._answered = now
            self._told |= 1 << start
            return CALL, start
        return None

    def _punctual(self) -> int:
        return self.begins(self.coming) + PUNCTUAL

    def _miss(self, now: int) -> None:
        if self._told >> self.coming & 1:
            self._sorry_until = self.begins(self.coming) + STILL_THERE
        self._advance()

    def _advance(self) -> None:
        self.coming = self.coming + 1 if self.coming < len(self._plan) else 0

    def _calls_now(self, start: int, now: int) -> bool:
        """True when a crowd is to be called: it is time, nobody was just answered, and nothing
        forbids to speak unasked."""
        moments = [self.begins(start) - before for before in self._calls]
        if not any(self._looked < moment <= now < moment + CALL_LATE for moment in moments):
            return False
        hushed = any(row[2] <= now < row[3] for row in self._quiet)
        return not hushed and now - self._answered >= CALLED_ENOUGH

    def asked(self, now: "int | None") -> "tuple[str, int]":
        """The kind of the answer to whoever asks now, and the number of the start that it is about
        (0: none). What is told is a promise from now on."""
        kind, start = self._situation(now)
        if kind == "changed" or kind == "called_off":
            self._sorry_until = -1
        told = self.coming if kind == "playing" else start
        if told and kind != "late":
            self._told |= 1 << told
        if now is not None:
            self._answered = now
        return kind, start

    def _situation(self, now: "int | None") -> "tuple[str, int]":
        if now is None or now >= TWO_DAYS:
            return "clock_unset", 0
        if self.playing:
            return "playing", self.playing
        if self.held and self.coming:
            return "late", 0
        sorry = now < self._sorry_until
        if not self.coming:
            return ("called_off" if sorry else self._nothing_left(now)), 0
        if sorry:
            return "changed", self.coming
        if now < self.opens:
            return "not_open", self.coming
        to_go = self.begins(self.coming) - now
        return ("soon" if to_go <= SOON else "next"), self.coming

    def _nothing_left(self, now: int) -> str:
        if self._tomorrow < 0:
            return "none_left"
        return "tomorrow" if self._tomorrow // 86_400 > now // 86_400 else "not_open"

    def manner(self, now: "int | None") -> str:
        """How loudly to answer: aloud, softly, or silent."""
        if now is None:
            return ALOUD
        for row in self._quiet:
            if row[0] <= now < row[1]:
                return str(row[4])
        if self.playing:
            return str(self._answers[self.piece(self.playing)])
        return ALOUD
