"""How soon what was dialled is known, and what it costs to listen to a dial, knobs or a button."""

from __future__ import annotations

import statistics
import time
from collections.abc import Iterator
from random import Random

from showtime.triggers.dial import PAUSE, SETTLE, Dial
from showtime.triggers.knobs import Knobs
from showtime.triggers.presses import Presses
from showtime.triggers.worn_dial import HOMECOMING, WINDING, WornDial, levels
from tests.bench.row import Row, seconds

EVERY = 0.002
"""Seconds between two looks at the time while a dial turns."""

Happening = tuple[int, str, bool]


def digit_by_digit(wired: bool) -> list[float]:
    """Milliseconds from what ends a digit until it is told, dialled in real time: from the last
    edge of the pulses, or, where off-normal is wired, from the first edge of the homecoming."""
    luck, taken = Random(1), []
    for _ in range(20):
        changes = WornDial(11.5).turn(luck.randint(1, 3), WINDING, luck)
        happenings: list[Happening] = [(at, "pulse", is_open) for at, is_open in levels(changes)]
        ends = changes[-1]
        if wired:
            ends += HOMECOMING
            happenings = [(0, "away", True), *happenings, (ends, "away", False)]
        taken.append(waited(happenings, ends, wired))
    return taken


def waited(happenings: list[Happening], ends: int, wired: bool) -> float:
    begun = time.perf_counter()
    dial = Dial(-PAUSE, off_normal=wired)
    while True:
        now = round((time.perf_counter() - begun) * 1e6)
        heard = None
        while happenings and happenings[0][0] <= now:
            at, contact, state = happenings.pop(0)
            heard = (dial.edge if contact == "pulse" else dial.off_normal)(at, state) or heard
        heard = dial.tick(now) or heard
        if heard:
            assert heard.digit is not None, heard
            return (time.perf_counter() - begun) * 1e3 - ends / 1e3
        time.sleep(EVERY)


def edge_to_digit() -> Iterator[Row]:
    for wired, rule in ((False, PAUSE), (True, SETTLE)):
        taken = digit_by_digit(wired)
        where = "off-normal wired" if wired else "by the pause"
        yield Row(
            f"edge to digit, {where}, worst of {len(taken)}",
            max(taken),
            "ms",
            None,
            f"median {statistics.median(taken):.1f} ms; {rule / 1000:g} ms of it are the rule, "
            "and the time is looked at every 2 ms",
        )


def bare_count(changes: list[int]) -> int:
    """The peer: a count of openings that came later than bounces, and no judgement at all."""
    count, last = 0, -1_000_000
    for at, is_open in levels(changes):
        if is_open and at - last > 20_000:
            count += 1
        last = at
    return count


def costs() -> Iterator[Row]:
    luck = Random(2)
    trains = [WornDial(10).turn(0, 1_000_000, luck) for _ in range(100)]
    count = sum(len(changes) for changes in trains)

    def judged() -> None:
        for changes in trains:
            dial = Dial(0)
            for at, is_open in levels(changes):
                dial.edge(at, is_open)
            dial.tick(changes[-1] + PAUSE)

    bare = seconds(lambda: [bare_count(changes) for changes in trains]) / count * 1e6
    yield Row(
        "an edge of a dial taken in",
        seconds(judged) / count * 1e6,
        "µs",
        None,
        f"{count} edges of 100 zeros with bounces; a bare count that judges nothing {bare:.2f} µs",
    )
    reads = [(n * 20_000, luck.randint(500, 520), luck.randint(300, 320)) for n in range(10_000)]

    def turned() -> None:
        knobs = Knobs((0, 1023), (0, 1023))
        for read in reads:
            knobs.read(*read)

    yield Row("two knobs read", seconds(turned) / len(reads) * 1e6, "µs")
    moves = [(n * 100_000, n % 2 == 0) for n in range(10_000)]

    def pressed() -> None:
        presses = Presses(600_000, 300_000)
        for move in moves:
            presses.edge(*move)

    yield Row("an edge of a button taken in", seconds(pressed) / len(moves) * 1e6, "µs")


def rows() -> Iterator[Row]:
    yield from edge_to_digit()
    yield from costs()
