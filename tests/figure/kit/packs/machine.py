"""What pins.py needs of MicroPython's `machine`, without a board: pins that are put by hand, a
loudspeaker that counts, and knobs that stand still. For MicroPython, in place of its own."""


class Pin:
    IN, OUT, PULL_UP, IRQ_FALLING, IRQ_RISING = 0, 1, 2, 4, 8
    every = {}

    def __init__(self, number, mode=None, pull=None, value=None):
        self.level = 1 if pull == Pin.PULL_UP else value or 0
        self.history = []
        self._called = None
        Pin.every[number] = self

    def value(self, level=None):
        if level is None:
            return self.level
        if level != self.level:
            self.history.append(level)
        self.level = level
        return None

    def irq(self, called, edges):
        self._called = called

    def put(self, level):
        """By hand: the contact closes to ground (0) or opens (1)."""
        self.level = level
        self._called(self)


class ADC:
    def __init__(self, pin):
        self.pin = pin

    def read_u16(self):
        return 20_000


class I2S:
    TX, MONO = 1, 2
    written = 0

    def __init__(self, number, **wiring):
        self.wiring = wiring

    def write(self, part):
        I2S.written += len(part)

    @staticmethod
    def shift(buf, bits, shift):
        assert bits == 16 and shift < 0


class PWM:
    duties = []

    def __init__(self, pin):
        self.pin = pin

    def freq(self, hertz):
        self.hertz = hertz

    def duty_u16(self, duty):
        assert 0 <= duty <= 65_535
        PWM.duties.append(duty)
