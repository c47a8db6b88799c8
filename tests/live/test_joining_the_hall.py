"""A stall whose settings name the fair's network joins it, or not when it is to be alone."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
from contextlib import closing

import pytest
from click.testing import CliRunner

from showtime.cli import app
from showtime.settings import shipped


@pytest.fixture
def nobody():
    """A port of this machine on which nobody listens."""
    with closing(socket.socket()) as tried:
        tried.bind(("127.0.0.1", 0))
        return tried.getsockname()[1]


@pytest.fixture
def joining(tmp_path, nobody):
    """The demo stall's settings, with a broker that is not there."""
    for name in ("osierholt-fair.yaml", "recitals.ics"):
        (tmp_path / name).write_text(shipped(f"config/{name}").read_text("utf-8"), "utf-8")
    settings = shipped("config/tin-orchard.yaml").read_text("utf-8")
    file = tmp_path / "tin-orchard.yaml"
    file.write_text(f"{settings}\nfairnet: {{broker: 127.0.0.1, port: {nobody}}}\n", "utf-8")
    return file


@pytest.fixture
def env(tmp_path):
    return {
        "PATH": os.environ["PATH"],
        "HOME": str(tmp_path),
        "PYTHONPATH": os.pathsep.join(sys.path),
        "LANG": "C.UTF-8",
    }


@pytest.fixture
def lines_of(joining, env):
    """What the running day tells, until it tells this."""

    def told(wanted, *options):
        words = ["run", str(joining), "--as-if", "2027-02-13T10:30", "--silent", *options]
        running = subprocess.Popen(
            [sys.executable, "-m", "showtime", *words],
            env=env, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        found = []
        try:
            for line in running.stdout:
                found.append(line)
                if wanted in line:
                    running.send_signal(signal.SIGTERM)
            assert running.wait(20) == 0
        finally:
            running.kill()
            running.wait(10)
            running.stdout.close()
        return found

    return told


def test_the_day_runs_without_the_network_and_says_that_it_is_not_reached(lines_of, nobody):
    found = lines_of("no line to the fair's broker")
    assert any(f"127.0.0.1:{nobody}" in line for line in found)
    assert any("to come: " in line for line in found)


def test_a_stall_that_is_to_be_alone_looks_for_no_network(lines_of):
    found = lines_of("to come: ", "--alone")
    assert not any("broker" in line or "line" in line for line in found)


def test_before_opening_it_is_a_thing_to_know_not_to_mend(joining, env):
    command = [sys.executable, "-m", "showtime", "ready", str(joining), "--json"]
    told = subprocess.run(command, env=env, capture_output=True, text=True, timeout=90)
    (line,) = [each for each in json.loads(told.stdout)["checks"] if each["name"] == "hall"]
    assert line["state"] == "look"
    assert "no line to the fair's broker" in line["says"]


def test_a_unit_of_a_stall_that_joins_may_use_the_network(joining):
    joined = CliRunner().invoke(app, ["run", str(joining), "--unit"]).output
    alone = CliRunner().invoke(app, ["run", str(joining), "--unit", "--alone"]).output
    assert "PrivateNetwork" not in joined
    assert "PrivateNetwork=yes" in alone
