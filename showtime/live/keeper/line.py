"""A line in which the keeper types an order, in the words of `showtime tell`. Pure."""

from __future__ import annotations

from dataclasses import dataclass, replace

from showtime.live.keeper.orders import ORDERS

OPENS = "t"
"""The key that opens it."""

_ENTER, _GIVE_UP, _BACK, _ALL = ("\r", "\n"), "\x1b", ("\x7f", "\b"), "\x15"
_LONGEST = 200
"""Characters that an order may have: more are a cat on the keyboard."""

_FORMS = {
    **{verb: f"{order.form}: {order.does}" for verb, order in ORDERS.items()},
    "clock": "clock TIME, clock DAY TIME: the time is this",
    "ask": "ask: as if somebody had asked",
    "status": "status: the day in a line",
    "end": "end: the day is over",
}


@dataclass(frozen=True, slots=True)
class Line:
    """What was typed so far. `hint`: what it would do, if it `means` something, else how to say it.

    `wrong`: it was to be done, and is no order; `done`: it is to be done.
    """

    text: str
    hint: str = ""
    means: bool = False
    wrong: bool = False
    done: bool = False

    @property
    def words(self) -> list[str]:
        """As the shell would have handed them on; a piece's name needs no quotes."""
        words = self.text.replace('"', " ").split()
        if words == ["h"]:
            return ["hold"]  # the key's letter: whoever presses it in haste means it
        return words[1:] if words[:1] == ["tell"] else words


def typed(line: Line, key: str) -> Line | None:
    """The line after a key; None when it was given up, `done` when it is to be done."""
    if key == _GIVE_UP or (key in _ENTER and not line.words):
        return None
    if key in _ENTER:
        return replace(line, done=True)
    if key in _BACK:
        return Line(line.text[:-1])
    if key == _ALL:
        return Line("")
    if key.isprintable() and len(line.text) < _LONGEST:
        return Line(line.text + key)
    return line


def forms(text: str) -> str:
    """How the orders are written that begin like `text`; all their verbs when it is empty."""
    words = Line(text).words
    verb = words[0].lower() if words else ""
    if not verb:
        return ", ".join(_FORMS)
    if verb in _FORMS:
        return _FORMS[verb]
    return "; ".join(form for known, form in _FORMS.items() if known.startswith(verb))
