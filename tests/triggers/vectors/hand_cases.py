"""Knobs that are turned and buttons that are pressed."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

from case import Case, in_ms

ENDS = [(0, 1023), (1023, 0), (900, 64100), (4000, 90)]


def knob_cases(luck: Random) -> Iterator[Case]:
    """Turned to a few times, each for two seconds, with noise of 1 % of the travel."""
    for number in range(12):
        ends = ENDS[number % 4]
        means, does, before = list[str](), list[str](), None
        for look in range(300):
            if look % 60 == 0:
                to = luck.randint(0, 11), luck.randint(0, 11)
                means += [f"{to[0] + 1} {to[1] * 5}"] if before not in (None, to) else []
                before = to
            hour, minute = (reading(mark, ends, luck) for mark in to)
            does.append(f"read {look * 33_000} {hour} {minute}")
        yield Case(f"turned {number}", "knobs {0} {1} {0} {1}".format(*ends), does, means)
    yield left_and_back()


def left_and_back() -> Case:
    """From 1:00 to 6:00, told; on to 7:00 for half a second, back to 6:00, and told again."""
    marks = [0] * 60 + [5] * 60 + [6] * 15 + [5] * 60
    reads = [round(1023 * (0.03 + 0.94 * mark / 11)) for mark in marks]
    does = [f"read {look * 33_000} {read} 0" for look, read in enumerate(reads)]
    return Case("left and back", "knobs 0 1023 0 1023", does, ["6 0", "6 0"])


def reading(mark: int, ends: tuple[int, int], luck: Random) -> int:
    """At a mark, with noise; the stops are in the dead zones."""
    share = 0.03 + 0.94 * mark / 11 + luck.uniform(-0.01, 0.01)
    return max(0, round(ends[0] + (ends[1] - ends[0]) * share))


def pressed(at: float, held: float) -> list[str]:
    """A press with bounces, in milliseconds."""
    up = at + held
    down = [f"down {at}", f"up {at + 0.9}", f"down {at + 1.5}"]
    return in_ms(*down, f"up {up}", f"down {up + 0.7}", f"up {up + 1.9}", f"tick {up + 50}")


PLAIN = "presses 0 0 20000 0"
LONG = "presses 600000 0 20000 0"
EVERY = "presses 600000 300000 20000 0"


def button_cases() -> Iterator[Case]:
    yield Case("one press", PLAIN, pressed(100, 150), ["short"])
    yield Case("two presses", PLAIN, pressed(100, 150) + pressed(400, 90), ["short", "short"])
    tap = in_ms("down 1", "up 6", "tick 30")
    yield Case("a tap shorter than bounces", LONG, tap, ["short"])
    yield Case("short where long means something", LONG, pressed(100, 150), ["short"])
    held = in_ms("down 0", "tick 599.999", "tick 600", "tick 900", "up 2000", "tick 3000")
    yield Case("long while held", LONG, held, ["long"])
    yield Case("long found at its end", LONG, in_ms("down 0", "up 700", "tick 800"), ["long"])
    once = pressed(100, 100)
    waits = once + in_ms("tick 499.999", "tick 500", "tick 900")
    yield Case("short waits for a second one", EVERY, waits, ["short"])
    later = in_ms("tick 2000")
    yield Case("double", EVERY, once + pressed(350, 100) + later, ["double"])
    yield Case("too late for double", EVERY, once + pressed(600, 100) + later, ["short"] * 2)
    on = once + in_ms("down 300", "tick 2000", "up 2100", "tick 3000")
    yield Case("double held on", EVERY, on, ["double"])
    held = in_ms("tick 5000", "up 6000") + pressed(7000, 90)
    yield Case("held as it is switched on", "presses 600000 0 20000 1", held, ["short"])
    yield Case("let go as it is switched on", PLAIN, in_ms("up 1", "tick 100"), [])
    keys = in_ms("down 0", "up 1", "down 2", "up 3")
    yield Case("keys do not bounce", "presses 0 0 0 0", keys, ["short", "short"])
