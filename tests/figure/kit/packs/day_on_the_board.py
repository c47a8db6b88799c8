"""A whole day on the controller, a second at a time: what it does and answers, in lines.

Runs under CPython and MicroPython alike, beside the kit's files. Hands are real ones as far as the
kit can tell: the clock is set by a dial's pulses, the figure released by a long press.

A script's lines are the second of the day and what happens then: ask, hold, or release.
"""

from figure import LONG, Figure

PULSE, BREAK = 100_000, 60_000  # microseconds: ten pulses a second, six tenths of them open


class Board:
    """What the kit needs of a board; its time passes when it is told."""

    def __init__(self, tell):
        self.at = 0
        self.sounds = 0
        self._tell = tell

    def micros(self):
        return self.at

    def play(self, part, softer):
        self.sounds += len(part)

    def moves(self, piece):
        self._tell("moves", piece)

    def silent_answer(self):
        self._tell("silent")


class Played:
    """The figure, its hands and its record."""

    def __init__(self, folder, dialled, tell):
        self._told = tell
        self.board = Board(self.tell)
        self._luck = 1
        self.board.at = 1_000_000
        self.figure = Figure(folder, self.board, self.luck)
        self.find = self.figure.answers.find
        self.figure.answers.find = self.found
        self.figure.asked()
        self.wait(1_000_000)
        for digit in dialled:
            self.dial(int(digit) or 10)
        while self.figure.now() is None:
            self.wait(50_000)
        second = self.figure.now()
        while self.figure.now() == second:
            self.wait(1_000)
        self.whole = self.board.at  # a second has just begun

    def tell(self, *words):
        now = self.figure.now() if hasattr(self, "figure") else None
        self._told(f"{-1 if now is None else now} " + " ".join(str(word) for word in words))

    def luck(self, below):
        self._luck = (self._luck * 1_103_515 + 12_345) % 8_388_593
        return self._luck % below

    def found(self, kind, start, now):
        found = self.find(kind, start, now)
        self.tell("says", kind, "nothing" if found is None else found[1])
        return found

    def wait(self, micros):
        until = self.board.at + micros
        while self.board.at < until:
            self.board.at = min(self.board.at + 20_000, until)
            self.step()

    def step(self):
        self.figure.step(self.board.at)
        while self.figure.player.speaking:
            self.figure.player.step()

    def dial(self, pulses):
        for _ in range(pulses):
            self.figure.pulse(self.board.at, True)
            self.wait(BREAK)
            self.figure.pulse(self.board.at, False)
            self.wait(PULSE - BREAK)
        self.wait(800_000)

    def press(self, long):
        self.figure.pressed(self.board.at, True)
        self.wait(LONG + 20_000 if long else 60_000)
        self.figure.pressed(self.board.at, False)
        self.wait(40_000)

    def turn_to(self, second):
        """Time passes, a second at a time, to the beginning of that one."""
        while self.figure.now() < second:
            while self.whole <= self.board.at:
                self.whole += 1_000_000
            self.board.at = self.whole
            self.step()

    def line(self, line):
        """Play a line of a script."""
        second, what = line.split()
        self.turn_to(int(second))
        if what == "ask":
            self.press(False)
        elif (what == "hold") is not self.figure.day.held:
            self.press(True)


def play(folder, dialled, script, tell):
    """Play a script; `tell` takes each line of what comes of it."""
    played = Played(folder, dialled, tell)
    for line in script:
        played.line(line)
