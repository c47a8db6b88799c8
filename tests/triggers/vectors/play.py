"""Play a script to the decoders and tell what they tell, in lines.

Runs under CPython and MicroPython alike, beside the kit's files. A script is lines: a decoder's
name and how it is made begin a case, then comes what happens to it. Told are, for each case, the
number of the happening and what came of it; and at its end, after how many the decoder was busy.
"""

import dial
import entry
import knobs
import presses


def open_hours(words):
    opens, closes, now = (int(word) for word in words)
    return entry.Open(opens, closes, None if now < 0 else now)


def a_dial(began, wired):
    dialled = dial.Dial(int(began), wired == "1")

    def happens(what, at, *_):
        if what == "tick":
            heard = dialled.tick(int(at))
        elif what in ("opens", "closes"):
            heard = dialled.edge(int(at), what == "opens")
        else:
            heard = dialled.off_normal(int(at), what == "leaves")
        if heard is None:
            return None
        if heard.digit is None:
            return f"doubt {heard.at} {heard.doubt}"
        return f"digit {heard.at} {heard.digit}"

    return happens, lambda: dialled.turning


def an_entry(*hours):
    entered = entry.Entry(open_hours(hours))

    def happens(what, *words):
        if what == "day":
            entered.day = open_hours(words)
            return None
        at = int(words[0])
        if what == "doubt":
            told = entered.doubt(at, " ".join(words[1:]))
        else:
            told = getattr(entered, what)(at, *[int(word) for word in words[1:]])
        if told is None:
            return None
        minute = -1 if told.minute is None else told.minute
        return f"{told.what} {minute} {told.why}".rstrip()

    return happens, lambda: entered.state != entry.EMPTY


def two_knobs(*ends):
    first, last, minute_first, minute_last = (int(end) for end in ends)
    turned = knobs.Knobs((first, last), (minute_first, minute_last))

    def happens(_, at, hour, minute):
        told = turned.read(int(at), int(hour), int(minute))
        return None if told is None else f"turned {told.at} {told.hour} {told.minute}"

    return happens, lambda: not turned.still


def a_button(hold, second, debounce, held):
    pressed = presses.Presses(int(hold), int(second), int(debounce), held == "1")

    def happens(what, at):
        if what == "tick":
            return pressed.tick(int(at))
        return pressed.edge(int(at), what == "down")

    return happens, lambda: pressed.busy


MAKES = {"dial": a_dial, "entry": an_entry, "knobs": two_knobs, "presses": a_button}


def play(lines, tell):
    """Play the lines of a script; `tell` takes each line of what comes of it."""
    happens = busy = None
    number = times_busy = 0
    for line in lines:
        words = line.split()
        if words[0] in MAKES:
            if happens:
                tell(f"busy {times_busy}")
            happens, busy = MAKES[words[0]](*words[1:])
            number = times_busy = 0
            continue
        told = happens(*words)
        if told is not None:
            tell(f"{number} {told}")
        number += 1
        times_busy += bool(busy())
    if happens:
        tell(f"busy {times_busy}")
