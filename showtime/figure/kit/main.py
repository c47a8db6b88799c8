"""What the board runs when it wakes: the figure of the pack, by the pins of pins.py."""

import random

import pins
from figure import Figure
from pack import Pack

KNOBS_EVERY = 20_000
"""Microseconds between two readings of the knobs."""


def luck(below):
    return random.getrandbits(24) % below


def hand_in(figure, board):
    """What hands did since the last time."""
    edge = board.button.take()
    while edge is not None:
        figure.pressed(edge[0], not edge[1])
        edge = board.button.take()
    away = board.away.take() if board.away else None
    pulse = board.dial.take()
    while pulse is not None or away is not None:
        if pulse is None or (away is not None and away[0] < pulse[0]):
            figure.off_normal(away[0], not away[1])
            away = board.away.take()
        else:
            figure.pulse(pulse[0], pulse[1])
            pulse = board.dial.take()


class Running:
    """The figure on its board. Nothing moves when this is made."""

    def __init__(self):
        self.board = pins.Board()
        self.board.open_sound(int(Pack(pins.FOLDER).value("rate")))
        wired_dial = pins.DIAL_AWAY is not None
        self.figure = Figure(pins.FOLDER, self.board, luck, wired_dial, pins.KNOB_ENDS)
        self._read_at = 0

    def turn(self):
        """Once round: what hands did, then what time brings."""
        # Looked at before the hands are: what they do meanwhile is then never older than this.
        at = self.board.micros()
        hand_in(self.figure, self.board)
        readings = self.board.knobs()
        if readings is not None and at - self._read_at >= KNOBS_EVERY:
            self._read_at = at
            self.figure.turned(at, readings[0], readings[1])
        self.figure.step(at)
        self.board.idle()


if __name__ == "__main__":
    running = Running()
    while True:
        running.turn()
