"""The only file that knows the board. Change the numbers at the top to what you have wired.

Low voltage only. The pins drive transistors or driver boards, never a motor or the mains; every
supply has a fuse; the emergency stop cuts the motors' current by itself.
"""

import time

import machine

FOLDER = "/sd/"  # where the pack is, with a stroke at the end; "/" for the board's own flash

BUTTON = 15  # closes to ground
DIAL = 14  # the pulse contact: closed at rest, to ground
DIAL_AWAY = None  # the off-normal contact: closed to ground while the dial runs; None: not wired
HOUR_KNOB = None  # pins of the two potentiometers; None: not wired
MINUTE_KNOB = None
KNOB_ENDS = (
    (0, 65535),
    (0, 65535),
)  # what they read at one o'clock and twelve; at 0 and 55 minutes

SOUND = "I2S"  # or "PWM"
I2S_CLOCK, I2S_WORD, I2S_DATA = 10, 11, 9
PWM_PIN = 2

MOVES = {1: 16, 2: 17}  # for each piece of PIECES.CSV the pin that is high while it plays
LIGHT = 25  # blinks for an answer that may not be spoken
CARD = (
    None  # (SPI number, clock, data out, data in, select) of a card; None: none, or a built-in slot
)


class Edges:
    """The last edges of a pin, as they came: their moments and levels. Filled by an interrupt, so
    that none is lost while a sound is played; nothing is allocated there."""

    SIZE = 64

    def __init__(self, number, micros):
        self._pin = machine.Pin(number, machine.Pin.IN, machine.Pin.PULL_UP)
        self._micros = micros
        self._at = [0] * self.SIZE
        self._high = bytearray(self.SIZE)
        self._put = 0
        self._got = 0
        self._pin.irq(self._edge, machine.Pin.IRQ_FALLING | machine.Pin.IRQ_RISING)

    def _edge(self, pin):
        place = self._put % self.SIZE
        self._at[place] = time.ticks_us()
        self._high[place] = pin.value()
        self._put += 1

    def take(self):
        """The next edge as (micros, high), or None. Ask before 64 more have come."""
        if self._got == self._put:
            return None
        if self._put - self._got > self.SIZE:
            self._got = self._put - self.SIZE
        place = self._got % self.SIZE
        self._got += 1
        return self._micros(self._at[place]), bool(self._high[place])


class Board:
    """A MicroPython board with a loudspeaker. Nothing moves when this is made."""

    def __init__(self):
        self._moves = {
            piece: machine.Pin(pin, machine.Pin.OUT, value=0) for piece, pin in MOVES.items()
        }
        self._light = machine.Pin(LIGHT, machine.Pin.OUT, value=0)
        self._dark_at = 0
        self._last = time.ticks_us()
        self._now = 0
        self._mount()
        self.button = Edges(BUTTON, self._widened)
        self.dial = Edges(DIAL, self._widened)
        self.away = None if DIAL_AWAY is None else Edges(DIAL_AWAY, self._widened)
        self._knobs = None
        if HOUR_KNOB is not None and MINUTE_KNOB is not None:
            self._knobs = machine.ADC(machine.Pin(HOUR_KNOB)), machine.ADC(machine.Pin(MINUTE_KNOB))
        self._sound = None

    def _mount(self):
        if CARD is None:
            return
        import os

        import sdcard  # from micropython-lib: mip.install("sdcard")

        number, clock, out, back, select = CARD
        spi = machine.SPI(
            number,
            sck=machine.Pin(clock),
            mosi=machine.Pin(out),
            miso=machine.Pin(back),
        )
        os.mount(sdcard.SDCard(spi, machine.Pin(select, machine.Pin.OUT)), FOLDER[:-1])

    def micros(self):
        """Microseconds since power-on; never run backwards. The board's own counter starts anew
        after some minutes, so this is asked oftener."""
        now = time.ticks_us()
        self._now += time.ticks_diff(now, self._last)
        self._last = now
        return self._now

    def _widened(self, ticks):
        """A moment of the board's counter, lately, in microseconds since power-on."""
        self.micros()
        return self._now + time.ticks_diff(ticks, self._last)

    def knobs(self):
        """Both readings, or None where they are not wired."""
        return None if self._knobs is None else tuple(knob.read_u16() for knob in self._knobs)

    def open_sound(self, rate):
        self._sound = I2s(rate) if SOUND == "I2S" else Pwm(rate)

    def play(self, part, softer):
        self._sound.play(part, softer)

    def moves(self, piece):
        """Starts a piece; 0 stops whatever moves."""
        for number, pin in self._moves.items():
            pin.value(1 if number == piece else 0)

    def silent_answer(self):
        self._light.value(1)
        self._dark_at = self.micros() + 1_000_000

    def idle(self):
        if self._light.value() and self.micros() >= self._dark_at:
            self._light.value(0)
        time.sleep_ms(1)


class I2s:
    """An I2S amplifier, such as every maker's shop has."""

    def __init__(self, rate):
        self._out = machine.I2S(
            0,
            sck=machine.Pin(I2S_CLOCK),
            ws=machine.Pin(I2S_WORD),
            sd=machine.Pin(I2S_DATA),
            mode=machine.I2S.TX,
            bits=16,
            format=machine.I2S.MONO,
            rate=rate,
            ibuf=8192,
        )

    def play(self, part, softer):
        if softer:
            machine.I2S.shift(buf=part, bits=16, shift=-softer)
        self._out.write(part)


class Pwm:
    """A pin whose pulses are as wide as the sound is high; a filter and an amplifier follow. Sounds
    rougher than I2S: between two parts of a sound it stands still for a moment."""

    def __init__(self, rate):
        self._out = machine.PWM(machine.Pin(PWM_PIN))
        self._out.freq(100_000)
        self._out.duty_u16(32_768)
        self._step = 1_000_000 // rate

    def play(self, part, softer):
        duty, step, now = self._out.duty_u16, self._step, time.ticks_us
        due = now()
        for place in range(0, len(part) - 1, 2):
            sample = part[place] | part[place + 1] << 8
            if sample & 0x8000:
                sample -= 0x10000
            duty((sample >> softer) + 32_768)
            due = time.ticks_add(due, step)
            while time.ticks_diff(due, now()) > 0:
                pass
