"""The whole figure on its controller: hands and time in; speech and movement out. No hardware."""

import dial
import entry
import knobs
import presses
from answers import CLOCK, HEARD, Answers
from day import CALL, FINISH, START, TWO_DAYS, Day
from pack import Pack
from player import Player

TYPE_CHECKING = False
if TYPE_CHECKING:  # boards have no typing; a checker reads this as true
    from collections.abc import Callable
    from typing import Any

LONG = 1_200_000
"""So long the button is held to hold or release the figure: nobody does it by mistake."""


class Figure:
    """`board` offers: `micros()`, a clock that only grows; `play(part, softer)`; `moves(piece)`,
    which starts a piece, and stops whatever moves for 0; `silent_answer()`, for when it may not
    speak. What hands do is handed in with its moments, in the order in which it happened. Ask for a
    `step` as often as possible.
    """

    def __init__(
        self,
        folder: str,
        board: "Any",
        luck: "Callable[[int], int]",
        wired_dial: bool = False,
        ends: "tuple[tuple[int, int], tuple[int, int]] | None" = None,
    ) -> None:
        pack = Pack(folder)
        self.day = Day(pack)
        self.answers = Answers(pack, luck)
        self.player = Player(pack, int(pack.value("rate")), board.play)
        self._board = board
        now = self._latest = board.micros()
        self._button = presses.Presses(LONG)
        self._dial = dial.Dial(now, wired_dial)
        self._knobs = knobs.Knobs(ends[0], ends[1]) if ends else None
        self._set_at = 0  # micros at which the clock showed _showed
        self._showed = -1
        self.setting = entry.Entry(self._hours())

    def now(self) -> "int | None":
        """Seconds from midnight; None while nobody has said what time it is."""
        if self._showed < 0:
            return None
        now = self._showed + (self._board.micros() - self._set_at) // 1_000_000
        return now if now < TWO_DAYS else None

    def pressed(self, at: int, down: bool) -> None:
        """The button went down or up."""
        self._deed(self._button.edge(at, down))

    def pulse(self, at: int, is_open: bool) -> None:
        """The dial's pulse contact opened or closed."""
        self._latest = max(at, self._latest)
        self._heard(self._dial.edge(at, is_open))

    def off_normal(self, at: int, is_away: bool) -> None:
        """The dial left its rest, or came home."""
        self._latest = max(at, self._latest)
        self._heard(self._dial.off_normal(at, is_away))

    def turned(self, at: int, hour: int, minute: int) -> None:
        """Both knobs' readings."""
        if self._knobs is None:
            return
        turned = self._knobs.read(at, hour, minute)
        if turned is not None:
            self.setting.day = self._hours()
            self._told(self.setting.turned(turned.at, turned.hour, turned.minute))

    def step(self, at: int) -> None:
        """Time has passed. What hands did until `at` was handed in; later deeds may be, too."""
        at = self._latest = max(at, self._latest)
        self._deed(self._button.tick(at))
        self._heard(self._dial.tick(at))
        if self.player.speaking or self._dial.turning:
            self._told(self.setting.busy(at))
        else:
            self._told(self.setting.tick(at))
        now = self.now()
        if now is not None:
            self._catch_up(now)
        self.player.step()

    def _catch_up(self, now: int) -> None:
        due = self.day.step(now)
        while due is not None:
            self._do(due[0], due[1], now)
            due = self.day.step(now)

    def _do(self, deed: str, start: int, now: int) -> None:
        if deed == START:
            self.player.stop()
            self._board.moves(self.day.piece(start))
        elif deed == FINISH:
            self._board.moves(0)
        elif deed == CALL and not self.player.speaking:
            self.say("call", start, now, False)

    def _deed(self, press: "str | None") -> None:
        if press == presses.SHORT:
            self.asked()
        elif press == presses.LONG and self.day.held:
            self.day.release()
            self.asked()
        elif press == presses.LONG:
            self.day.hold()
            self._board.moves(0)
            self.player.stop()

    def asked(self) -> None:
        """When is the next one? It is answered as loudly as may be."""
        now = self.now()
        how = self.day.manner(now)
        kind, start = self.day.asked(now)
        if how == "silent":
            self._board.silent_answer()
        else:
            self.say(kind, start, now or 0, how == "softly")

    def say(self, kind: str, start: int, now: int, softly: bool) -> None:
        found = self.answers.find(kind, start, now)
        if found is not None:
            self.player.say(self.answers.clips(found[0], found[2]), softly)

    def _heard(self, heard: "Any") -> None:
        """A digit was dialled."""
        if heard is None:
            return
        self.setting.day = self._hours()
        if heard.digit is None:
            self._told(self.setting.doubt(heard.at, heard.doubt))
        else:
            self._told(self.setting.digit(heard.at, heard.digit))

    def _told(self, told: "Any") -> None:
        """Something became of a time that is being set."""
        if told is None:
            return
        if told.what == entry.SPEAK_BACK:
            self._speak(self.answers.of_the_minute(HEARD, told.minute))
        elif told.what == entry.COUNT:
            self.set_clock(told.minute)
            self._speak(self.answers.of_the_minute(CLOCK, told.minute))
        elif told.what == entry.CANCEL:
            self.player.stop()
        else:
            found = self.answers.find("not_caught", 0, 0)
            if found is not None:
                self._speak(self.answers.clips(found[0], found[2]))

    def _speak(self, row: "list[int]") -> None:
        """To the keeper, who stands right there: softly where there is quiet, never not at all."""
        self.player.say(row, self.day.manner(self.now()) != "aloud")

    def set_clock(self, minute: int) -> None:
        """It is that minute of the day; past midnight, if the stall is open then."""
        seconds = minute * 60
        if seconds < self.day.opens and seconds + 86_400 <= self.day.closes:
            seconds += 86_400
        was = self.now()
        self._showed = seconds
        self._set_at = self._board.micros()
        self.day.clock_set(was, seconds)

    def _hours(self) -> "Any":
        now = self.now()
        opens, closes = self.day.opens // 60, self.day.closes // 60
        return entry.Open(opens, closes, None if now is None else now // 60 % 1440)
