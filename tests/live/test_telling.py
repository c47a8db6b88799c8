"""Orders from another terminal reach the running day, and nobody else's do."""

from __future__ import annotations

import socket
import stat
import tempfile
import threading

import pytest

from showtime.live.asked import QuestionError
from showtime.live.places import socket_path
from showtime.live.telling import Ear, TellingError, tell_day


@pytest.fixture
def home(monkeypatch):
    """A folder for the stall's files, with a path short enough for a socket."""
    with tempfile.TemporaryDirectory() as folder:
        monkeypatch.setenv("XDG_DATA_HOME", folder)
        yield folder


@pytest.fixture
def ear(home, tin_orchard):
    """A day that repeats what it is told."""

    def told(words):
        if words == ["nonsense"]:
            raise QuestionError("that means nothing here")
        return " ".join(words).upper()

    opened = Ear(socket_path(tin_orchard), told)
    yield opened
    opened.close()


def test_an_order_is_answered(ear, tin_orchard):
    assert tell_day(tin_orchard, ["late", "5"]) == (True, "LATE 5")


def test_what_is_no_order_is_answered_too(ear, tin_orchard):
    assert tell_day(tin_orchard, ["nonsense"]) == (False, "that means nothing here")


def test_only_the_keepers_user_may_open_the_socket(ear, tin_orchard):
    assert stat.S_IMODE(socket_path(tin_orchard).stat().st_mode) == 0o600


@pytest.mark.parametrize(
    "line", [b"\n", b"{}\n", b"[1]\n", b"\xff\xfe\n", b"x" * 10_000, b'"late"\n', b""]
)
def test_garbage_hurts_nobody(ear, tin_orchard, line):
    with socket.socket(socket.AF_UNIX) as raw:
        raw.connect(str(socket_path(tin_orchard)))
        raw.sendall(line)
        raw.shutdown(socket.SHUT_WR)
        assert b"no order" in raw.recv(4096)
    assert tell_day(tin_orchard, ["ask"]) == (True, "ASK")


def test_many_at_once_are_heard_one_after_the_other(ear, tin_orchard):
    said = []
    threads = [
        threading.Thread(target=lambda n=n: said.append(tell_day(tin_orchard, [str(n)])))
        for n in range(6)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(said) == [(True, str(n)) for n in range(6)]


def test_a_second_day_hears_keys_only(ear, tin_orchard):
    with pytest.raises(TellingError, match="another day hears"):
        Ear(socket_path(tin_orchard), " ".join)
    assert tell_day(tin_orchard, ["ask"]) == (True, "ASK")


def test_a_socket_left_by_a_day_that_died_is_replaced(home, tin_orchard):
    path = socket_path(tin_orchard)
    path.parent.mkdir(parents=True)
    with socket.socket(socket.AF_UNIX) as dead:
        dead.bind(str(path))
    ear = Ear(path, " ".join)
    assert tell_day(tin_orchard, ["status"]) == (True, "status")
    ear.close()


def test_where_no_day_runs_the_keeper_is_told_how_to_start_one(home, tin_orchard):
    with pytest.raises(TellingError, match="showtime run"):
        tell_day(tin_orchard, ["status"])


def test_a_path_too_long_for_a_socket_is_a_clear_line(tmp_path):
    with pytest.raises(TellingError, match="too long a path"):
        Ear(tmp_path / ("x" * 120), " ".join)
