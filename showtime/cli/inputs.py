"""The command with which inputs are picked, tried and measured."""

from __future__ import annotations

import queue
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from showtime.cli.options import (
    complain,
    desk_of,
    print_json,
    print_lines,
    say,
    with_config,
    with_json,
)

if TYPE_CHECKING:
    from showtime.live import Desk
    from showtime.triggers import Looking, Seen

_LOOK_AGAIN = 1.0
"""Seconds until it is looked for what was plugged in meanwhile."""

_READINGS = 10
"""Knobs are measured by the mean of so many readings: converters are noisy."""

_APART = 100


@click.command()
@with_config
@click.option("--find", is_flag=True, help="Listen to all that is plugged in, to pick one.")
@click.option("--knobs", is_flag=True, help="Measure both ends of the two knobs.")
@with_json
def inputs(config: Path | None, find: bool, knobs: bool, as_json: bool) -> None:
    """What there is to press, turn and walk past, and live what each of it sends. Ctrl-C ends it.

    Shown is what the settings name under 'inputs', and what the figure would do about it; with
    --find also all else that is plugged in, with the settings to paste. Nothing is done to a day.

    Wire low voltage only, never the mains: a contact between a pin and ground, knobs between
    ground and the board's own 3.3 V.

    \b
    A microcontroller on a serial line sends lines such as these:
    press               a whole press
    down, up            the button goes down; it comes up
    pulse 1, pulse 0    the dial's pulse contact closes; it opens
    dial 1, dial 0      the dial has left its rest; it is home
    knobs 512 87        what hour and minute read, 20 to 50 times a second
    here, gone          somebody stands before the sensor; nobody does

    After down, up, pulse and dial may stand the time by its own clock in microseconds, modulo
    2^32: 'pulse 0 123456'; a dial needs that. '*' and the exclusive or of all bytes before it, in
    two hexadecimal digits, may end any line.

    Example: showtime inputs --json
    """
    desk = desk_of(config)
    seen: queue.SimpleQueue[Seen] = queue.SimpleQueue()
    looking = looking_at(desk, seen)
    try:
        if knobs:
            measure(looking, seen)
        else:
            show(desk, looking, seen, find=find, as_json=as_json)
    except KeyboardInterrupt:
        say("")
    finally:
        looking.close()


def looking_at(desk: Desk, seen: queue.SimpleQueue[Seen]) -> Looking:
    """The devices of the settings, which put all that is seen of them into the queue."""
    from showtime.triggers import Looking

    day = desk.stall.days[0]
    opens, closes = (day.local(each) for each in (day.hours.start, day.hours.end))
    minutes = (opens.hour * 60 + opens.minute, closes.hour * 60 + closes.minute)
    return Looking(
        desk.stall.inputs, seen.put, lambda: round(desk.clock.monotonic() * 1_000_000), minutes
    )


def show(
    desk: Desk, looking: Looking, seen: queue.SimpleQueue[Seen], *, find: bool, as_json: bool
) -> None:
    """What is there; and from then on what it sends, if anything can come."""
    from showtime.faces import wired
    from showtime.triggers import plugged_in

    there = plugged_in()
    began = round(desk.clock.monotonic() * 1_000_000)
    looking.start()
    document = wired.document(there, looking.names, looking.troubles)
    if as_json:
        print_json(document)
        return
    print_lines(wired.lines(document))
    if not find and not document["wired"]:
        say("To pick one of what is plugged in, or will be: showtime inputs --find")
        return
    say("Press, turn and walk past. Ctrl-C ends it.")
    watching = wired.Watching(say, began, looking.names)
    drop(seen)
    while True:
        if find:
            looking.find(plugged_in())
        for each in coming(seen, _LOOK_AGAIN):
            watching.show(each)


def measure(looking: Looking, seen: queue.SimpleQueue[Seen]) -> None:
    """Both ends of both knobs, and the settings to paste."""
    from showtime.faces import wired
    from showtime.triggers import plugged_in

    looking.start()
    looking.find(plugged_in())
    first = ask_end(seen, "Turn both knobs all the way back: one o'clock, and the full hour.")
    last = ask_end(seen, "Turn both all the way up: twelve o'clock, and five to.")
    if first is None or last is None or first[0] != last[0]:
        complain("no readings came from two knobs; see what comes: showtime inputs --find")
        sys.exit(1)
    ends = tuple(zip(first[1], last[1], strict=True))
    still = [
        name for name, (a, b) in zip(("hour", "minute"), ends, strict=True) if abs(a - b) < _APART
    ]
    if still:
        complain(
            f"the knob of the {' and of the '.join(still)} reads nearly the same at both ends; "
            "is it wired?"
        )
        sys.exit(1)
    say(f"To paste under inputs:   - {wired.paste(first[0], 'knobs', (ends[0], ends[1]))}")


def ask_end(seen: queue.SimpleQueue[Seen], what: str) -> tuple[str, Sequence[int]] | None:
    """Where the knobs stand once a key was pressed: the device and both mean readings."""
    click.pause(f"{what} Then press any key.")
    drop(seen)
    readings: list[Seen] = []
    for _ in range(3):
        readings += [each for each in coming(seen, 0.5) if each.turned is not None]
        if len(readings) >= _READINGS:
            break
    turned = [each.turned for each in readings[-_READINGS:] if each.turned is not None]
    if not turned:
        return None
    return readings[-1].device, [
        round(sum(each) / len(turned)) for each in zip(*turned, strict=True)
    ]


def coming(seen: queue.SimpleQueue[Seen], seconds: float) -> Sequence[Seen]:
    """What is seen next, and all that has come with it; nothing when nothing comes for so long."""
    try:
        found = [seen.get(timeout=seconds)]
    except queue.Empty:
        return ()
    while not seen.empty():
        found.append(seen.get())
    return found


def drop(seen: queue.SimpleQueue[Seen]) -> None:
    """Forget what has come so far."""
    while not seen.empty():
        seen.get()
