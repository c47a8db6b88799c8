"""Keys as a real terminal sends them: whole sequences are left out, an escape is told."""

from __future__ import annotations

import os
import pty
import sys
import termios
import threading
import time

import pytest

from showtime.triggers import Keys


class Keyboard:
    """A terminal of which the test holds the other end."""

    def __init__(self, monkeypatch):
        self._hand, terminal = pty.openpty()
        self.file = os.fdopen(terminal, "r", encoding="utf-8")
        monkeypatch.setattr(sys, "stdin", self.file)
        self.before = termios.tcgetattr(self.file)
        self.heard = ""
        self._news = threading.Condition()
        self.keys = Keys(self._hear)
        self.keys.start()

    def _hear(self, key):
        with self._news:
            self.heard += key
            self._news.notify()

    def send(self, *parts, pause=0.0):
        for part in parts:
            os.write(self._hand, part)
            time.sleep(pause)

    def hears(self, text):
        with self._news:
            return self._news.wait_for(lambda: self.heard == text, timeout=5)

    def close(self):
        self.keys.close()
        self.put_away()

    def put_away(self):
        os.close(self._hand)
        self.file.close()


@pytest.fixture
def keyboard(monkeypatch):
    opened = Keyboard(monkeypatch)
    yield opened
    opened.close()


def test_each_key_is_told_at_once(keyboard):
    keyboard.send(b"t")
    assert keyboard.hears("t")
    keyboard.send(b"late 5\n")
    assert keyboard.hears("tlate 5\n")


def test_the_escape_key_is_told(keyboard):
    keyboard.send(b"\x1b")
    assert keyboard.hears("\x1b")


def test_escape_and_a_letter_right_after_it_are_both_told(keyboard):
    keyboard.send(b"\x1bh")
    assert keyboard.hears("\x1bh")


@pytest.mark.parametrize("sequence", [b"\x1b[A", b"\x1b[3~", b"\x1bOP", b"\x1b[1;5C", b"\x1b[200~"])
def test_cursor_and_function_keys_are_left_out_whole(keyboard, sequence):
    keyboard.send(b"a", sequence, b"b")
    assert keyboard.hears("ab")


def test_a_sequence_that_comes_in_pieces_is_one(keyboard):
    keyboard.send(b"a\x1b", b"[", b"1;5", b"Cb", pause=0.01)
    assert keyboard.hears("ab")


def test_a_letter_that_comes_in_pieces_is_one(keyboard):
    keyboard.send(b"\xc3", b"\xa9", pause=0.05)
    assert keyboard.hears("é")


def test_the_terminal_is_put_back_as_it_was(monkeypatch):
    keyboard = Keyboard(monkeypatch)
    assert termios.tcgetattr(keyboard.file) != keyboard.before
    keyboard.keys.close()
    assert termios.tcgetattr(keyboard.file) == keyboard.before
    keyboard.put_away()
