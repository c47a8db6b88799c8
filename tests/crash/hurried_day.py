"""A whole live day in a hurry, in a process of its own, to be killed at any moment of it.

The same house, running day, journal and planner as ever, over a machine whose time passes `pace`
times as fast. A keeper and visitors, invented at random, ask and order all day long. Whatever has
come back to them is acknowledged: a line on standard output, in JSON, written at once. So is each
piece that the figure begins to play. The parent reads these lines and kills at any moment.

    hurried_day.py CONFIG JOURNAL AS_IF PACE SEED
"""

from __future__ import annotations

import heapq
import json
import os
import random
import sys
import threading
import time
from datetime import timedelta
from pathlib import Path

from showtime.fair import Span
from showtime.live import Desk, Stage, open_house
from showtime.live.clock.kernel import ThisMachine
from showtime.live.hall import PretendedHall
from showtime.live.opening import Edges
from showtime.live.ports import IdleFigure

ORDERS = (
    "skip", "late 4", "late 12", "quiet 6", "quiet 3 a speech", "play", "play The Pear Dance",
    "piece The Pear Dance", "piece Frost Bells", "add 11:15", "add 12:40", "add 14:35", "add 16:10",
    "off 14:05", "off 15:30", "undo", "undo", "hold", "would late 5", "hall", "hall",
)  # fmt: skip
ASKS_EACH, ORDERS_EACH = timedelta(minutes=3), timedelta(minutes=12)
HELD_FOR = timedelta(seconds=90)
HUSHED_FOR = timedelta(minutes=4)
CLOCKS = []
HALL = PretendedHall()
_pipe = threading.Lock()


def tell(**what):
    """In one write, so that a line is there whole or not at all."""
    with _pipe:
        os.write(1, json.dumps(what).encode() + b"\n")


class HurriedMachine(ThisMachine):
    """This machine, on which all time passes faster."""

    def __init__(self, pace):
        super().__init__()
        self._pace = pace
        self._begun, self._system = super().monotonic(), super().system()

    def boottime(self):
        return (super().monotonic() - self._begun) * self._pace

    def monotonic(self):
        return self.boottime()

    def system(self):
        return self._system + self.boottime()

    def synchronised(self):
        return False


class HurriedAlarms:
    """Alarms on a hurried clock: a thread that waits for the next one, and acts in order."""

    def __init__(self, clock, pace):
        self._clock, self._pace = clock, pace
        self._news = threading.Condition()
        self._queue, self._set, self._number, self._over = [], {}, 0, False
        threading.Thread(target=self._go_on, daemon=True).start()

    def set(self, key, moment, action):
        with self._news:
            self._number += 1
            self._set[key] = self._number, action
            heapq.heappush(self._queue, (moment, self._number, key))
            self._news.notify()

    def drop(self, key):
        with self._news:
            self._set.pop(key, None)

    def realign(self):
        with self._news:
            self._news.notify()

    def close(self):
        with self._news:
            self._over = True
            self._news.notify()

    def _go_on(self):
        while True:
            action = self._due()
            if action is None:
                return
            action()

    def _due(self):
        with self._news:
            while not self._over:
                early = None
                if self._queue:
                    moment, number, key = self._queue[0]
                    early = (moment - self._clock.now()).total_seconds()
                    if early <= 0:
                        heapq.heappop(self._queue)
                        known = self._set.get(key)
                        if known is not None and known[0] == number:
                            del self._set[key]
                            return known[1]
                        continue
                self._news.wait(None if early is None else early / self._pace)
        return None


class TellingFigure(IdleFigure):
    """A figure that tells the parent what it begins to play, and when."""

    def play(self, piece):
        tell(plays=piece.name, at=CLOCKS[0].now().isoformat())

    def stop(self):
        pass


class Blank:
    """Nobody looks."""

    every = 60.0

    def show(self, state, now, note, line):
        pass

    def close(self):
        pass


class People:
    """A keeper and visitors, all day long, at random moments."""

    def __init__(self, house, pace, luck):
        self._house, self._clock, self._pace, self._luck = house, CLOCKS[0], pace, luck

    def live(self):
        ends = self._house.day.state.day.hours.end + timedelta(minutes=5)
        if self._house.day.state.stage is Stage.HELD:
            self._pause(20)
            self._ask()
            self._release()
        while self._clock.now() < ends:
            self._pause(self._luck.expovariate(1 / ASKS_EACH.total_seconds()))
            self._ask()
            if self._luck.random() < ASKS_EACH / ORDERS_EACH:
                self._order(self._luck.choice(ORDERS))
        tell(over=True)
        self._house.end()

    def _pause(self, seconds):
        time.sleep(seconds / self._pace)

    def _ask(self):
        said = self._house.day.asked("visitor")
        tell(said=said.text, at=said.at.isoformat(), told=said.told and said.told.isoformat())

    def _order(self, words):
        if words == "hold":
            why = f"a string snapped at {self._clock.now():%H:%M:%S.%f}"
            self._house.tell(["hold", why])
            tell(held=why)
            self._pause(HELD_FOR.total_seconds())
            self._release()
            return
        if words == "hall":
            self._called_for_quiet()
            return
        before = self._house.day.state
        said = self._house.tell(words.split())
        after = self._house.day.state
        if " is taken back." in said:
            tell(undone=before.acted_at.isoformat())
        elif after.acted_at not in (None, before.acted_at):
            tell(ordered=after.action, at=after.acted_at.isoformat())

    def _called_for_quiet(self):
        """The organiser wants quiet in the hall; the day has taken it up when that comes back."""
        now = self._clock.now()
        call = now.isoformat()
        HALL.call_quiet(call, Span(now, now + HUSHED_FOR), "the mayor speaks")
        if self._house.day.state.hall.hush(call):
            tell(called=call)

    def _release(self):
        if self._house.tell(["release"]).startswith("Going on"):
            tell(released=True)


def main(config, journal, as_if, pace, seed):
    pace = float(pace)

    def alarms(clock):
        CLOCKS.append(clock)
        return HurriedAlarms(clock, pace)

    edges = Edges(
        HurriedMachine(pace),
        alarms,
        figure=lambda stall, clock: TellingFigure(),
        hall=lambda stall, clock: HALL,
    )
    desk = Desk.of(Path(config))
    house = open_house(desk, "", as_if, Path(journal), silent=True, seed=int(seed), edges=edges)
    tell(opened=CLOCKS[0].now().isoformat(), stage=house.day.state.stage.value)
    people = People(house, pace, random.Random(f"{seed} {as_if}"))
    threading.Thread(target=people.live, daemon=True).start()
    house.live(Blank())


if __name__ == "__main__":
    main(*sys.argv[1:])
