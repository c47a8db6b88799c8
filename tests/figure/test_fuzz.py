"""Any lines at all, to either side: no crash, nothing done without a valid check, nothing twice.

What is valid is judged here by Python's own CRC (binascii.crc_hqx), not by the program's.
"""

from __future__ import annotations

import binascii
import random
import re

import pytest

from showtime.figure import Pace, PretendController
from showtime.live.reports import Began, Ended, Failed, Readings, Well

LINE = re.compile(rb"(\d+) (\d+) (\S+)((?: \S+)*) ([0-9A-F]{4})\r?")


def checked(text: str) -> bytes:
    body = text.encode()
    return body + b" %04X\n" % binascii.crc_hqx(body, 0xFFFF)


def judged(raw: bytes):
    """(bond, number, verb, words) of a line that an honest sender has written; else None."""
    found = LINE.fullmatch(raw)
    if not found or len(raw) > 241:
        return None
    body = raw.rstrip(b"\r")[:-5]
    if b"%04X" % binascii.crc_hqx(body, 0xFFFF) != found[5]:
        return None
    return int(found[1]), int(found[2]), found[3].decode(), found[4].split()


def spoilt(line: bytes, luck: random.Random) -> bytes:
    """Cut, with bits turned over, with letters put in or left out."""
    data = bytearray(line)
    for _ in range(luck.randint(1, 3)):
        where = luck.randrange(len(data)) if data else 0
        match luck.randrange(5):
            case 0:
                data = data[:where]
            case 1 if data:
                data[where] ^= 1 << luck.randrange(8)
            case 2:
                data[where:where] = bytes([luck.randrange(256)])
            case 3:
                del data[where : where + 1]
            case _ if data:
                data[where] = luck.choice(b"0123456789 ABCDEF\r\n")
    return bytes(data)


class Wire:
    def __init__(self) -> None:
        self.coming = b""
        self.sent = b""

    def read(self) -> bytes:
        data, self.coming = self.coming, b""
        return data

    def write(self, data: bytes) -> None:
        self.sent += data

    def wait(self, seconds: float) -> None: ...
    def close(self) -> None: ...


class Enemy:
    """Sits on the wire to a controller and makes up what it hears."""

    def __init__(self, seed: int) -> None:
        self.luck = random.Random(seed)
        self.wire = Wire()
        self.time = self.heard_at = 10.0
        self.controller = PretendController(self.wire, lambda: self.time, Pace())
        self.bond, self.number, self.run, self.greeting = 0, 0, 0, 0
        self.past: list[bytes] = []
        self.held_back: list[bytes] = []
        self.rest = self.acks = b""
        self.done: set[tuple[int, int]] = set()

    def honest(self) -> bytes:
        luck = self.luck
        if not self.bond or luck.random() < 0.02:
            self.greeting = luck.randrange(10000)
            return checked(f"0 0 hello 1 {self.greeting}")
        self.number = self.number % 9999 + 1
        self.run += 1
        said = luck.choice(
            [f"play {self.run} 1 {luck.randint(1, 40)}", "stop", "say when half10", "clock x",
             "plan 3", "start 1 x 2", "piece 1 3 %20", "dance", "play", "play 1 2 x", "reading"]
        )  # fmt: skip
        return checked(f"{self.bond} {self.number} {said}")

    def made_up(self) -> bytes:
        luck = self.luck
        kind = luck.random()
        if kind < 0.45:
            line = self.honest()
            self.past = [*self.past[-50:], line]
            return line
        if kind < 0.6 and self.past:
            return luck.choice(self.past)
        if kind < 0.7 and self.held_back:
            return self.held_back.pop(luck.randrange(len(self.held_back)))
        if kind < 0.75:
            self.held_back = [*self.held_back[-5:], self.honest()]
            return b""
        if kind < 0.9:
            return spoilt(self.honest(), luck)
        if kind < 0.97:
            return luck.randbytes(luck.randint(0, 60)) + luck.choice([b"\n", b""])
        if kind < 0.975:
            return b"1 1 play " * luck.randint(20, 60)
        return checked(f"{luck.randrange(70000)} {luck.randrange(12000)} play 1 1 10")

    def one(self) -> None:
        data, self.acks = self.acks + self.made_up(), b""
        before = len(self.controller.deeds)
        moved = self.controller.moving
        self.wire.coming += data
        whole = self.rest + data
        *lines, self.rest = whole.split(b"\n")
        if len(self.rest) > 300:
            self.rest = b"?" * 300  # Longer than a line can be, whatever comes yet.
        self.controller.step()
        honest = [found for raw in lines if (found := judged(raw))]
        for deed in self.controller.deeds[before:]:
            self.judge(deed.what, honest, moved)
        self.take_bond()
        if any(bond == self.bond for bond, *_ in honest):
            self.heard_at = self.time
        self.time += self.luck.choice([0.0, 0.01, 0.05, 0.3])
        if self.luck.random() < 0.001:
            self.time += 4.0

    def judge(self, what, honest, moved) -> None:
        verbs = {"played": ("play",), "said": ("say",), "stopped": ("stop", "hello")}
        if what == "ended":
            assert moved or honest
            return
        causes = [(b, n) for b, n, verb, _ in honest if verb in verbs[what]]
        if what == "stopped" and self.time - self.heard_at >= Pace().silence:
            return
        assert causes, what
        if what in ("played", "said"):
            fresh = [cause for cause in causes if cause not in self.done]
            assert fresh, f"{what} twice"
            self.done.update(fresh)

    def take_bond(self) -> None:
        for raw in self.wire.sent.split(b"\n"):
            found = judged(raw)
            if found and found[2] == "ready" and found[0] != self.bond:
                self.bond, self.number, self.heard_at = found[0], 0, self.time
            elif found and found[2] == "ready" and self.luck.random() < 0.5:
                self.acks += checked(f"{found[0]} {found[1]} ack")
        self.wire.sent = b""


def test_whatever_is_sent_to_a_controller_it_does_what_is_checked_and_once(full):
    enemy = Enemy(11)
    for _ in range(100_000 if full else 10_000):
        enemy.one()
    deeds = [deed.what for deed in enemy.controller.deeds]
    assert min(deeds.count(what) for what in ("played", "stopped", "ended", "said")) > 30


def test_whatever_a_controller_sends_only_what_is_checked_is_told(full, workshop):
    luck = random.Random(5)
    number = 50
    past: list[bytes] = []
    finished: set[int] = set()
    for count in range(100_000 if full else 10_000):
        if count % 20 == 0 and workshop.link.bonded:
            workshop.play(seconds=1000)
            workshop.reports += workshop.link.step()
        bond = max(1, int((judged(workshop.ours.sent[-1].strip()) or (1,))[0]))
        run = (count // 20) + luck.randint(-1, 1)
        number += 1
        said = luck.choice(
            [f"started {run}", f"finished {run}", "fault hot", "well", "reading celsius 30.0",
             "fault", "finished", "pulse", "reading celsius", "reading x y z", "no", "done"]
        )  # fmt: skip
        line = checked(f"{bond} {number % 9999} {said}")
        past = [*past[-30:], line]
        data = luck.choice([line, spoilt(line, luck), luck.choice(past), luck.randbytes(30)])
        workshop.ours.inbox.append(b"\n" + data + b"\n")
        before = len(workshop.reports)
        workshop.time += 0.01
        workshop.reports += workshop.link.step()
        honest = [found for raw in data.split(b"\n") if (found := judged(raw))]
        verbs = {found[2] for found in honest}
        for report in workshop.reports[before:]:
            match report:
                case Began():
                    assert "started" in verbs
                case Ended():
                    assert "finished" in verbs
                    (run_told,) = [int(f[3][0]) for f in honest if f[2] == "finished"]
                    assert run_told not in finished
                    finished.add(run_told)
                case Readings():
                    assert "reading" in verbs
                case Well():
                    assert verbs & {"well", "ready"}
                case Failed(why):
                    assert "fault" in verbs or "not there" in why or "begin" in why, why
        if not workshop.link.bonded:
            workshop.settle()
    assert len(finished) > 20


@pytest.mark.parametrize("size", [0, 1, 239, 240, 241, 10_000])
def test_lines_of_any_length_are_taken_or_let_go(workshop, size):
    workshop.ours.inbox.append(b"7" * size + b"\n")
    workshop.theirs.inbox.append(b"7" * size + b"\n")
    workshop.play(seconds=1)
    workshop.spend(2)
    assert workshop.deeds() == ["played", "ended"]
