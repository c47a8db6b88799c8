"""Everything tried before the fair opens: first what needs no hand, then what the keeper judges."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING, Any

from showtime.cli.asking import Keeper
from showtime.cli.options import say

if TYPE_CHECKING:
    from showtime.live import Desk
    from showtime.live.readiness import Check, HallLine, Hand, Line, Readiness, WiredUp

_ALL = 55.0
"""Seconds for everything, whoever hangs or does not answer."""

_HEARD, _RIGHT, _PRESSED, _PERMITTED = 12.0, 10.0, 12.0, 10.0
"""Seconds that questions are given."""

_MOVING = 14.0
"""Seconds that a movement, its stop and the letting go of everything may take."""


@dataclass
class Trying:
    """One run through everything. `keeper`: None when nobody is asked."""

    desk: Desk
    readiness: Readiness
    keeper: Keeper | None
    hands: Sequence[Hand] = ()
    wired: WiredUp | None = None
    _asked: dict[str, Line] = field(default_factory=dict)
    _until: float = 0.0

    def lines(self) -> Iterator[Line]:
        """All that is found, in order; whatever was taken up is given back."""
        from showtime.live.readiness import Check

        self._until = self.desk.clock.monotonic() + _ALL
        running = list(self.readiness.tried([Check("running", self.readiness.running, 8)]))
        yield from running
        if not running:
            self.hands, self.wired = hands_of(self.desk), wired_up(self.desk, self.readiness)
        try:
            for line in self.readiness.tried(self._checks(alone=not running)):
                if self._is_asked_about(line):
                    self._asked[line.name] = line
                else:
                    yield line
            if self.keeper is not None and not running:
                yield from self._with(self.keeper)
        finally:
            self._let_go()

    def _checks(self, *, alone: bool) -> Sequence[Check]:
        from showtime.live.readiness import Check

        checks = [*self.readiness.checks(alone=alone)]
        if alone and self.keeper is None:
            checks.append(self.readiness.voice())
        checks += [Check(hand.line, hand.judge, 4.0) for hand in self.hands]
        if self.wired is not None:
            checks.append(Check("controller", self.wired.judge, 26.0))
        line = hall_line(self.desk) if alone else None
        if line is not None:
            checks.append(Check("hall", line.judge, 8.0))
        return checks

    def _is_asked_about(self, line: Line) -> bool:
        """True for what is told once the keeper was asked."""
        if self.keeper is None or line.state == "mend":
            return False
        asked = [hand.line for hand in self.hands if hand.asks_for]
        return line.name in asked or (line.name == "clock" and bool(self.readiness.time_asked))

    def _with(self, keeper: Keeper) -> Iterator[Line]:
        yield from self._voice(keeper)
        clock = self._asked.get("clock")
        if clock is not None:
            answer = self._agrees(keeper, f"Is it {self.readiness.time_asked}?", _RIGHT)
            yield self.readiness.right(clock, answer)
        hands = [hand for hand in self.hands if hand.line in self._asked]
        if hands:
            yield from self._pressed(keeper, hands)
        yield from self._moved(keeper)

    def _voice(self, keeper: Keeper) -> Iterator[Line]:
        for line in self.readiness.tried([self.readiness.voice()]):
            if line.state == "ok":
                answer = self._agrees(keeper, "Did you hear the figure speak?", _HEARD)
                yield self.readiness.heard(line, answer)
            else:
                yield line

    def _pressed(self, keeper: Keeper, hands: list[Hand]) -> Iterator[Line]:
        """Each as soon as it was pressed, in any order; the rest when time or patience is up."""
        seconds, skipped = min(_PRESSED, self._left), False
        until = self.desk.clock.monotonic() + seconds
        say(f"Now {', '.join(hand.asks_for for hand in hands)} ({seconds:.0f} s, Enter skips)")
        while hands and not skipped and self.desk.clock.monotonic() < until:
            skipped = keeper.skips(0.1)
            done = [hand for hand in hands if hand.tried]
            hands = [hand for hand in hands if hand not in done]
            yield from (hand.asked(skipped=False) for hand in done)
        yield from (hand.asked(skipped=skipped) for hand in hands)

    def _moved(self, keeper: Keeper) -> Iterator[Line]:
        """The first moments of a piece, if the keeper wants that and nothing speaks against it."""
        wired, day = self.wired, self.readiness.day
        if wired is None or not wired.well or self._left < _MOVING + 2:
            return
        if self.readiness.quiet_now or not self.readiness.time_asked:
            return  # nothing may sound, or a controller would be told a wrong time with its piece
        piece = day.pieces[0]
        question = (
            f"A short test would move the figure for 3 s: {piece.name}.\n"
            "Guards on, hands clear, emergency stop in reach? Type yes; Enter for no: "
        )
        if keeper.permits(question, min(_PERMITTED, self._left - _MOVING)):
            yield wired.move(piece, self.desk.clock.now())

    def _agrees(self, keeper: Keeper, question: str, seconds: float) -> bool | None:
        return keeper.agrees(question, min(seconds, self._left)) if self._left > 1 else None

    @property
    def _left(self) -> float:
        return self._until - self.desk.clock.monotonic()

    def _let_go(self) -> None:
        """Give back what was taken, which may hang as well."""
        from showtime.live.readiness import Check

        def closing(close: Callable[[], None]) -> Callable[[], Sequence[Line]]:
            def judge() -> Sequence[Line]:
                close()
                return ()

            return judge

        closes = [hand.close for hand in self.hands]
        if self.wired is not None:
            closes.append(self.wired.close)
        list(self.readiness.tried([Check("", closing(close), 2.5) for close in closes]))


def hands_of(desk: Desk) -> Sequence[Hand]:
    """What the settings name under 'inputs', by device; nothing of it is taken up yet."""
    if not desk.stall.inputs:
        return ()
    from showtime.fair.wiring import Input
    from showtime.live.readiness import Hand
    from showtime.triggers import Looking

    def looking(wired: Sequence[Input], watch: Callable[[Any], None]) -> Looking:
        return Looking(
            wired, watch, lambda: round(desk.clock.monotonic() * 1_000_000), (0, 24 * 60)
        )

    together: dict[str, list[Input]] = {}
    for each in desk.stall.inputs:
        only_named = looking([each], lambda seen: None)
        together.setdefault(only_named.names[0], []).append(each)
        only_named.close()
    return [Hand(name, wired, partial(looking, wired)) for name, wired in together.items()]


def hall_line(desk: Desk) -> HallLine | None:
    """The line to the rest of the hall, if the stall joins it; it is not opened yet."""
    joining = desk.stall.joining
    if joining is None:
        return None
    from showtime.cli.joining import joined
    from showtime.live.readiness import HallLine

    opens = partial(joined, desk.stall, desk.clock)
    return HallLine(joining.broker, opens, desk.clock.monotonic)


def wired_up(desk: Desk, readiness: Readiness) -> WiredUp | None:
    """The figure's controller, if there is one; its line is not opened yet."""
    controller = desk.stall.controller
    if controller is None:
        return None
    from showtime.figure import wired_figure
    from showtime.live.readiness import WiredUp

    return WiredUp(
        readiness.day,
        controller.serial,
        controller.silence.total_seconds(),
        lambda: wired_figure(controller, desk.clock.monotonic),
        readiness.planned.share_of_battery,
        desk.clock.monotonic,
    )
