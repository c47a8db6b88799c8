"""Trains for the dial: by hand, and by chance within and beyond what a dial may do."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

from case import Case, S, changed, clean, in_ms, pulses

from showtime.triggers.worn_dial import Lengths, WornDial, lost, run_together, torn

PLAIN, WIRED = "dial 0 0", "dial 0 1"


def dial_cases(luck: Random) -> Iterator[Case]:
    for count in range(1, 11):
        yield train(f"{count} clean pulses", pulses(count), str(count % 10))
    yield from doubtful()
    yield from at_rest()
    yield from off_normal()
    yield from dialled(luck)
    yield from damaged(luck)


def train(name: str, lengths_ms: list[int], *means: str) -> Case:
    return Case(name, PLAIN, [*clean(lengths_ms), f"tick {9 * S}"], means)


def doubtful() -> Iterator[Case]:
    yield train("eleven pulses", pulses(11), "more than ten pulses")
    yield train("the third of four pulses lost", [60, 40, 60, 140, 60], "a make is too long")
    yield train("two run together", [60, 40, 160, 40, 60], "a break is too long")
    yield train("a break torn in two", [60, 40, 25, 10, 25], "a break is too short")
    yield train("a make too short", [90, 8, 90], "a make is too short")
    yield train("much too slow", [100, 80, 100, 80, 100], "a make is too long")
    yield train("a little too slow", [100, 65, 100], "the dial runs too slowly")
    yield train("too fast", [40, 25, 40, 25, 40], "the dial runs too fast")
    yield train("slowed by a finger", [60, 35, 60, 70, 60], "the pulses are uneven")
    yield train("hardly any makes", [90, 15, 90], "breaks and makes are out of proportion")
    yield train("a make that chatters", [60, 3, 4, 3, 30], "the contact chatters")
    mixed = in_ms("opens 1000", "closes 1060", "opens 1050", "closes 1160", "tick 3000")
    yield Case("times out of order", PLAIN, mixed, ["times came out of order"])


def at_rest() -> Iterator[Case]:
    yield train("a spark on the wire", [3])
    yield train("two sparks, one long after the other", [3, 300, 3])
    yield train("a spark in a make", [60, 18, 3, 19, 60], "2")
    shreds = "the contact chatters"
    yield train("a pulse in shreds", [4, 12, 3, 15, 4, 11, 5], shreds)
    yield train("a pulse all chatter", [4, 5, 3, 5, 4, 5, 5, 4, 5], shreds)
    yield train("a long spark on the wire", [20], "a break is too short")
    off = in_ms("opens 1000", "tick 2000")
    stuck = "the contact stays open"
    yield Case("a wire that comes off", PLAIN, off, [stuck])
    back = [*off, *in_ms("closes 3000", "tick 4000"), *clean(pulses(3), 5000), f"tick {9 * S}"]
    yield Case("a wire that comes off and back", PLAIN, back, [stuck, "3"])
    early = [*clean(pulses(4), 100), f"tick {S}"]
    unrested = "the dial was not at rest at the start"
    yield Case("dialled as it is switched on", PLAIN, early, [unrested])
    quick = [*clean(pulses(2)), *clean(pulses(3), 1570), f"tick {9 * S}"]
    yield Case("the next digit after 0.41 s", PLAIN, quick, ["2", "3"])


def off_normal() -> Iterator[Case]:
    leaves, returns, later = in_ms("leaves 800", "returns 1330", "tick 9000")
    run = clean(pulses(3))
    yield Case("off-normal bounds a digit", WIRED, [leaves, *run, returns, later], ["3"])
    resting = "pulses came while the dial was at rest"
    yield Case("pulses while at rest", WIRED, [*run, later], [resting])
    none = "the dial turned without a pulse"
    yield Case("turned without a pulse", WIRED, [leaves, returns, later], [none])
    away = [leaves, *run, *in_ms("tick 3000", "returns 4000"), later]
    yield Case("it does not come home", WIRED, away, ["the dial did not come home"])
    stuck = [leaves, *run[:-1], *in_ms("returns 1270", "tick 1280", "closes 2000"), later]
    yield Case("home with the contact open", WIRED, stuck, ["the contact stays open"])
    second = [*in_ms("leaves 1450"), *clean(pulses(2), 1600), *in_ms("returns 1830"), later]
    soon = [leaves, *run, returns, *second]
    yield Case("off-normal parts digits 0.34 s apart", WIRED, soon, ["3", "2"])


def any_dial(luck: Random) -> WornDial:
    """Any that is to be understood."""
    return WornDial(luck.uniform(7, 12), luck.uniform(0.55, 0.75), jitter=2000)


def dialled(luck: Random) -> Iterator[Case]:
    for number in range(60):
        digits, does, at = list[int](), list[str](), S
        for _ in range(luck.randint(1, 2)):
            digits.append(luck.randint(0, 9))
            changes = any_dial(luck).turn(digits[-1], at, luck)
            does += changed(changes)
            at = changes[-1] + luck.randint(S // 2, S)
        yield Case(f"dialled {number}", PLAIN, [*does, f"tick {at}"], [str(d) for d in digits])


def damaged(luck: Random) -> Iterator[Case]:
    def hurt(run: Lengths, how: int) -> Lengths:
        if how == 0:
            return lost(run, luck.randint(1, len(run) // 2 - 1))
        if how == 1:
            return run_together(run, luck.randint(0, len(run) // 2 - 1))
        return torn(run, 1, run[2] // 3, 16_000)

    for number in range(30):
        dial = any_dial(luck)
        run = hurt(dial.run(luck.randint(3, 10), luck), number % 3)
        does = changed(dial.contacts(run, S, luck))
        yield Case(f"damaged {number}", PLAIN, [*does, f"tick {9 * S}"], ["doubt"])
