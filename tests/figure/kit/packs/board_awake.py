"""The board wakes with the kit, under MicroPython: is it still until the button is held?"""

import time

import machine
import pins

pins.FOLDER = "/sd/"
pins.HOUR_KNOB, pins.MINUTE_KNOB = 26, 27

import main  # noqa: E402

running = main.Running()
button, motor = machine.Pin.every[pins.BUTTON], machine.Pin.every[pins.MOVES[1]]
dial = machine.Pin.every[pins.DIAL]


def spend(milliseconds):
    until = time.ticks_add(time.ticks_ms(), milliseconds)
    while time.ticks_diff(until, time.ticks_ms()) > 0:
        running.turn()


def press(milliseconds):
    button.put(0)
    spend(milliseconds)
    button.put(1)
    spend(60)


spend(450)
press(60)
assert running.figure.player.speaking
while running.figure.player.speaking:
    running.turn()
print("asked", machine.I2S.written > 20_000)

for _ in range(3):
    dial.put(1)
    spend(60)
    dial.put(0)
    spend(40)
spend(450)
print("dialled", running.figure.setting.state)

start = running.figure.day.begins(1)
running.figure.set_clock(start // 60)
spend(50)
print("held", motor.history)
press(1300)
spend(50)
print("released", motor.history)
press(1300)
print("held again", motor.history)

sound = pins.Pwm(22_050)
sound.play(memoryview(b"\x00\x80\xff\x7f\x00\x00" * 8), 0)
print("pwm", sorted(set(machine.PWM.duties)))
