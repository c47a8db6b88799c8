"""Opening the pages and setting the PIN, as a keeper types it."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time

import pytest
from click.testing import CliRunner

from showtime.cli import app
from showtime.faces.pages import PagesError, PinFile, announced, open_pages


def test_run_with_a_board_says_where_it_is_and_serves_it(tmp_path, visit):
    env = {
        "PATH": os.environ["PATH"],
        "HOME": str(tmp_path),
        "PYTHONPATH": os.pathsep.join(sys.path),
        "LANG": "C.UTF-8",
    }
    words = ["run", "--as-if", "2027-02-13T10:02", "--silent", "--board", "--port", "0"]
    running = subprocess.Popen(
        [sys.executable, "-m", "showtime", *words],
        env=env, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    try:
        url = None
        for line in running.stdout:
            if found := re.search(r"board: (http://\S+)", line):
                url = found[1]
                break
        assert url.startswith("http://127.0.0.1:")
        assert "Barnaby Rook" in visit.get(url).text
        assert visit.get(f"{url}keeper").status_code == 404, "no PIN, no remote"
        running.send_signal(signal.SIGTERM)
        begun = time.monotonic()
        running.stdout.read()
        assert running.wait(10) == 0
        assert time.monotonic() - begun < 5
    finally:
        running.kill()
        running.wait(10)
        running.stdout.close()


def test_the_pin_is_typed_twice_and_never_shown(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    typed = CliRunner().invoke(app, ["pin"], input="482915\n482915\n")
    assert typed.exit_code == 0
    assert "482915" not in typed.output
    assert PinFile.of_this_user().fits("482915")


@pytest.mark.parametrize("typed", ["\n", "1234\n", "123456\n", "482915\n482916\n"])
def test_a_pin_that_will_not_do_is_not_set(tmp_path, monkeypatch, typed):
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    assert CliRunner().invoke(app, ["pin"], input=typed).exit_code == 2
    assert PinFile.of_this_user().mark == ""


def test_on_the_network_it_says_what_others_see(tmp_path):
    said = "\n".join(announced(8017, lan=True))
    assert "Nothing is encrypted" in said
    assert "whoever knows the pin" in said.lower()
    assert "█" in said
    assert "--lan" in "\n".join(announced(8017, lan=False))


def test_alone_it_is_on_this_machine_only(open_stall):
    stall = open_stall()
    others = [
        each.split(":")[0]
        for each in re.findall(r"http://(\S+?)/", "\n".join(announced(1, lan=True)))
    ]
    for host in others:
        if not host.startswith("127."):
            with pytest.raises(ConnectionRefusedError):
                socket.create_connection((host, stall.pages.where.port), timeout=5)


def test_a_port_that_is_taken_is_named(open_stall):
    stall = open_stall()
    with pytest.raises(PagesError, match=f"port {stall.pages.where.port} cannot be had"):
        open_pages(stall.house, stall.pages.where.port, pin=stall.kept_pin)


def test_a_service_with_pages_is_let_onto_the_network(tmp_path, monkeypatch):
    for place in ("DATA", "CACHE", "STATE"):
        monkeypatch.setenv(f"XDG_{place}_HOME", str(tmp_path))
    alone = CliRunner().invoke(app, ["run", "--unit"]).output
    shown = CliRunner().invoke(app, ["run", "--unit", "--lan", "--port", "8020"]).output
    assert "PrivateNetwork=yes" in alone
    assert "--board" not in alone
    assert "run --board --port 8020 --lan" in shown
    assert "PrivateNetwork=yes" not in shown
