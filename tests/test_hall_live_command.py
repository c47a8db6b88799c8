"""The organiser's node as a process of its own, with stalls on its line."""

from __future__ import annotations

import json
import os
import queue
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import httpx
import pexpect
import pytest
from click.testing import CliRunner

from showtime.cli import app
from showtime.faces.pages import PinFile
from showtime.fair import ShowtimeError
from showtime.fair.hall import Joining
from showtime.fairnet import Member
from showtime.live import live_hall
from showtime.live.clock.kernel import ThisMachine
from showtime.live.hall import CapsSet, PlanHanded, QuietCalled, QuietLifted
from showtime.settings import load_fair

FAIR = """\
fair: Osierholt Curiosity Fair
timezone: Europe/London
days:
  - {date: 2027-02-13, opens: 10:00, closes: 11:00}
  - {date: 2027-02-14, opens: 10:00, closes: 11:00}
together:
  - {stalls: 1, within: 4 m}
stalls:
  - {stall: The Tin Orchard, figure: Barnaby Rook, place: {x: 0 m, y: 0 m}, gap: 10 min,
     pieces: [{name: Frost Bells, lasts: 4 min, reset: 2 min}], wishes: {start_on: 15 min}}
  - {stall: The Lantern Cart, figure: Wick, place: {x: 3 m, y: 0 m}, gap: 10 min,
     pieces: [{name: Small Lights, lasts: 4 min, reset: 3 min}], wishes: {start_on: 15 min}}
  - {stall: The Kettle Choir, figure: Ned Spout, place: {x: 9 m, y: 0 m}, gap: 10 min,
     pieces: [{name: First Steam, lasts: 5 min, reset: 5 min}], wishes: {start_on: 15 min}}
"""
PIN = "482915"
AS_IF = ("--as-if", "2027-02-13T10:02")


def free_port():
    with socket.socket() as tried:
        tried.bind(("127.0.0.1", 0))
        return tried.getsockname()[1]


def until(holds, seconds=20.0):
    """What comes of `holds` once it is something, or a failure."""
    ends = time.monotonic() + seconds
    while not (found := holds()):
        assert time.monotonic() < ends, f"not within {seconds} s"
        time.sleep(0.01)
    return found


class Node:
    """A `showtime hall` that runs, and what it has written so far."""

    def __init__(self, words, folder, name):
        places = {f"XDG_{each}_HOME": str(folder / name) for each in ("DATA", "STATE", "CONFIG")}
        self.env = {
            "PATH": os.environ["PATH"],
            "HOME": str(folder),
            "PYTHONPATH": os.pathsep.join(sys.path),
            "LANG": "C.UTF-8",
            "XDG_CACHE_HOME": str(folder / "cache"),
            **places,
        }
        PinFile(folder / name / "showtime" / "keeper.pin").set(PIN)
        self.folder = folder
        self.lines = []
        self._running = subprocess.Popen(
            [sys.executable, "-m", "showtime", "hall", *words],
            env=self.env, cwd=folder, text=True,
            stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        )  # fmt: skip
        self._reading = threading.Thread(target=self._read)
        self._reading.start()

    def _read(self):
        for line in self._running.stdout:
            self.lines.append(line.rstrip("\n"))

    def says(self, pattern, seconds=30.0):
        """The first line that matches, once there is one; a node that has ended says no more."""

        def found():
            return next(
                (hit for line in tuple(self.lines) if (hit := re.search(pattern, line))), None
            )

        def said_or_over():
            return found() or not self._reading.is_alive()

        with suppress(AssertionError):
            until(said_or_over, seconds)
        hit = found()
        assert hit, f"nothing like {pattern!r} in {self.lines}"
        return hit

    def order(self, *words):
        """An order from another terminal: its exit code, and all that it said."""
        told = subprocess.run(
            [sys.executable, "-m", "showtime", "hall", "fair.yaml", *words],
            env=self.env, cwd=self.folder, capture_output=True, text=True, timeout=30, check=False,
        )  # fmt: skip
        return told.returncode, told.stdout + told.stderr

    def ends(self, number=None):
        """The exit code, after that signal if one is given, and the seconds that it took."""
        begun = time.monotonic()
        if number is not None:
            self._running.send_signal(number)
        code = self._running.wait(30)
        self._reading.join(10)
        return code, time.monotonic() - begun

    def kill(self):
        if self._running.poll() is None:
            self._running.kill()
        self._running.wait(10)
        self._reading.join(10)
        self._running.stdout.close()


@pytest.fixture
def room():
    """A folder with a short path: the path of a socket has at most 107 bytes (unix(7))."""
    with tempfile.TemporaryDirectory(prefix="hall") as folder:
        yield Path(folder)


@pytest.fixture
def fair(room):
    """The fair's file, in a folder of its own."""
    file = room / "fair.yaml"
    file.write_text(FAIR, "utf-8")
    return file


@pytest.fixture
def start(room, fair):
    """Starts an organiser's node in that folder; `name` is that of its user's folders."""
    started = []

    def starts(*words, name="organiser"):
        started.append(Node(words, room, name))
        return started[-1]

    yield starts
    for node in started:
        node.kill()


class Heard:
    """A stall on the line whose day does nothing but listen."""

    def __init__(self, member):
        self.member = member
        self.words = queue.SimpleQueue()
        self._known = []
        member.listen(self.words.put)

    def heard(self, kind):
        """All words of that kind that have come."""
        while not self.words.empty():
            self._known.append(self.words.get())
        return [word for word in self._known if isinstance(word, kind)]

    def hears(self, kind, seconds=20.0, after=0):
        """The first word of that kind, or the one after so many, once it has come."""

        def found():
            return next(iter(self.heard(kind)[after:]), None)

        return until(found, seconds)


@pytest.fixture
def joins(fair, room):
    """Brings a stall of the fair onto the line, with its own password."""
    joined = []

    def comes(stall, port, line=None, ca=None, moment=AS_IF[1]):
        loaded = load_fair(fair)
        clock = live_hall(loaded, "", moment).clock
        stand = next(each for each in loaded.stands if each.name == stall)
        user = stall.lower().replace(" ", "-")
        folder = line or room / "organiser/showtime/line-osierholt-curiosity-fair"
        word = folder / "passwords" / f"{user}.txt"
        joining = Joining("127.0.0.1", port, user, word, ca)
        joined.append(Heard(Member(stand.stall, joining, clock)))
        return joined[-1]

    yield comes
    for each in joined:
        each.member.close()


class Page:
    """The organiser's page, behind its door."""

    def __init__(self, url):
        self.root = url.removesuffix("/hall")
        self.client = httpx.Client(timeout=10, trust_env=False, headers={"Origin": self.root})
        door = re.search(r'name="door" value="([^"]+)"', self.client.get(f"{self.root}/hall").text)
        entered = self.client.post(f"{self.root}/hall/pin", data={"door": door[1], "pin": PIN})
        assert entered.status_code == 303

    def shows(self):
        return self.client.get(f"{self.root}/hall/now").text

    def press(self, minutes, why):
        page = self.client.get(f"{self.root}/hall").text
        form = re.search(r'name="form" value="([^"]+)"', page)[1]
        data = {"form": form, "once": str(time.monotonic()), "minutes": minutes, "why": why}
        assert self.client.post(f"{self.root}/hall/quiet", data=data).status_code == 303


@pytest.fixture
def opened():
    """Opens the page of a node."""
    pages = []

    def opens(node):
        pages.append(Page(node.says(r"The hall's page: (\S+)")[1]))
        return pages[-1]

    yield opens
    for page in pages:
        page.client.close()


def test_the_plan_and_the_quiet_reach_every_stall_and_the_end_is_clean(start, joins, opened):
    port = free_port()
    node = start("fair.yaml", "--broker", "--listen", f"127.0.0.1:{port}", "--port", "0", *AS_IF)
    node.says(r"The plan is handed out: \d+ performances at 3 stalls")
    orchard, cart = joins("The Tin Orchard", port), joins("The Lantern Cart", port)
    handed = orchard.hears(PlanHanded).handout
    assert handed.stall == "The Tin Orchard"
    assert handed.performances
    assert "The Lantern Cart" in handed.quiet[0].why
    page = opened(node)
    until(lambda: page.shows().count('<span class="mark">silent</span>') == 2)

    calls, taken = [], []
    while not calls or (min(taken) >= 1.0 and len(calls) < 4):  # a busy machine takes its time
        begun = time.monotonic()
        page.press("10", "a speech")
        calls.append([stall.hears(QuietCalled, 10.0, len(calls)) for stall in (orchard, cart)])
        until(lambda: "2 of 3 stalls have it" in page.shows(), 10.0)
        taken.append(time.monotonic() - begun)
    assert min(taken) < 1.0, "a press, until both have confirmed it on the page"
    assert [call.why for call in calls[-1]] == ["a speech", "a speech"]
    assert "Not on the line, to be told by somebody: The Kettle Choir" in page.shows()
    node.says(r"QUIET until 10:12: a speech")

    code, said = node.order("status", "--json")
    body = json.loads(said)
    assert code == 0
    assert [stall["here"] for stall in body["stalls"]] == ["present", "present", "never seen"]
    assert body["quiet"][0]["kept_by"] == ["The Tin Orchard", "The Lantern Cart"]
    assert body["stalls"][0]["follows"] == body["plan"]

    assert node.order("lift") == (0, "The quiet is lifted.\n")
    for stall in (orchard, cart):
        until(lambda stall=stall: calls[-1][0].call in lifted(stall))
    code, seconds = node.ends(signal.SIGTERM)
    assert (code, seconds < 6.0) == (0, True)
    assert node.lines[-1].startswith("The organiser's desk is closed")
    assert not any("Traceback" in line for line in node.lines)


def test_a_node_that_comes_back_hands_out_the_same_plan_and_lets_stalls_in_again(start, joins):
    port = free_port()
    words = ("fair.yaml", "--broker", "--listen", f"127.0.0.1:{port}", "--no-page", *AS_IF)
    first = start(*words)
    first.says("The plan is handed out")
    orchard = joins("The Tin Orchard", port)
    before = orchard.hears(PlanHanded).handout
    assert first.ends(signal.SIGINT)[0] == 0
    until(lambda: orchard.member.trouble)
    second = start(*words)
    second.says("The plan is handed out", 10.0)
    assert not any("Planning" in line for line in second.lines), "it was made before"
    second.says("The Tin Orchard: here")
    again = joins("The Lantern Cart", port)
    again.hears(PlanHanded)
    handed = [word.handout.performances for word in orchard.heard(PlanHanded)]
    assert set(handed) == {before.performances}


def lifted(stall):
    return {word.call for word in stall.heard(QuietLifted)}


def test_two_organisers_share_a_hall(start, joins, room):
    port = free_port()
    line = room / "line"
    first = start(
        "fair.yaml", "--broker", "--line", "line", "--listen", f"127.0.0.1:{port}", "--no-page",
        "--desk", "gate", *AS_IF,
    )  # fmt: skip
    first.says("The plan is handed out")
    second = start(
        "fair.yaml", "--at", f"127.0.0.1:{port}", "--line", "line", "--desk", "bandstand",
        "--no-page", *AS_IF, name="second",
    )  # fmt: skip
    second.says(r"The stalls go by a plan already, that of \d\d:\d\d:\d\d from gate")
    orchard = joins("The Tin Orchard", port, line)
    second.says("The Tin Orchard: here")
    code, said = second.order("quiet", "5", "a", "parade")
    assert (code, "1 of 3 stalls have it" in said) == (0, True)
    assert orchard.hears(QuietCalled).why == "a parade"
    first.says("QUIET until 10:07: a parade")
    assert first.order("lift") == (0, "The quiet is lifted.\n")
    orchard.hears(QuietLifted)
    second.says("The quiet is over: a parade")
    assert second.order("cap", "2", "60")[0] == 0
    assert [cap.why for cap in orchard.hears(CapsSet).caps] == [
        "asked for by the organiser: at most 2 performances in any 60 min"
    ]

    (room / "wrong.txt").write_text("guessed\n", "utf-8")
    third = start(
        "fair.yaml", "--at", f"127.0.0.1:{port}", "--user", "organiser", "--password-file",
        "wrong.txt", "--no-page", *AS_IF, name="third",
    )  # fmt: skip
    third.says("refuses the user 'organiser'")
    files = [line / "password-file", *(line / "passwords").iterdir()]
    assert len(files) == 5
    assert {file.stat().st_mode & 0o077 for file in files} == {0}
    words = [file.read_text("utf-8").strip() for file in files[1:]]
    assert not any(word in told for word in words for told in first.lines), "no password is shown"


def test_a_broker_that_is_not_there_is_named_and_waited_for(start, joins):
    port = free_port()
    node = start(
        "fair.yaml", "--at", f"127.0.0.1:{port}", "--line", "elsewhere", "--no-page", *AS_IF
    )
    node.says(rf"! .*{'elsewhere'}.*organiser.txt")
    assert node.ends(signal.SIGTERM)[0] == 0
    other = start("fair.yaml", "--at", f"127.0.0.1:{port}", "--no-page", *AS_IF)
    other.says(rf"! .*127\.0\.0\.1:{port}")
    code, said = other.order("quiet", "5")
    assert (code, "0 of 3 stalls have it" in said) == (0, True)
    assert other.ends(signal.SIGTERM)[0] == 0


def test_it_ends_at_once_while_it_still_plans(start, top, room):
    shutil.copytree(top / "config", room / "config")
    node = start(
        "config/osierholt-fair.yaml", "--broker", "--listen", f"127.0.0.1:{free_port()}",
        "--no-page", "--as-if", "2027-02-13T10:20",
    )  # fmt: skip
    node.says("Planning")
    code, seconds = node.ends(signal.SIGTERM)
    assert (code, seconds < 6.0) == (0, True)


@pytest.mark.parametrize("taken", ["--listen", "--port"])
def test_a_port_that_is_taken_is_named_and_nothing_is_started(start, taken):
    with socket.socket() as holding:
        holding.bind(("127.0.0.1", 0))
        holding.listen()
        port = str(holding.getsockname()[1])
        listen = port if taken == "--listen" else str(free_port())
        page = port if taken == "--port" else "0"
        node = start(
            "fair.yaml", "--broker", "--listen", f"127.0.0.1:{listen}", "--port", page, *AS_IF
        )
        assert node.ends()[0] == 2
    assert port in node.lines[-1]
    assert not any("Traceback" in line for line in node.lines)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["nowhere.yaml"], r"nowhere\.yaml:1:1: "),
        (["broken.yaml"], r"broken\.yaml:2:\d+: "),
        (["fair.yaml"], r"is not on a fair day.*showtime hall --as-if 2027-02-13T10:00"),
        (["fair.yaml", "--as-if", "soon"], r"--as-if soon: not a moment"),
        (["fair.yaml", "--as-if", "2027-02-13T10:00", "--day", "2027-02-14"], "2027-02-14"),
        (["fair.yaml", "dance"], "dance: no order; there are quiet, lift, cap, status"),
        (["dance"], "dance: neither a fair's file nor an order"),
        (["fair.yaml", "status"], "nobody organises Osierholt Curiosity Fair on this machine"),
        (["fair.yaml", "quiet", "10", "--json"], "--json goes with status"),
        (["fair.yaml", "--broker", "--listen", "127.0.0.1:99999", *AS_IF], "write it like"),
        (["fair.yaml", "--plan", "none.json", *AS_IF], r"none\.json:1:1: cannot read the plan"),
        (["fair.yaml", "--setup", "fair.yaml/line"], r"fair\.yaml/line: cannot write"),
    ],
    ids=str,
)
def test_what_is_wrong_is_told_in_a_line_and_nothing_is_started(monkeypatch, fair, words, told):
    for place in ("DATA", "STATE", "CONFIG", "CACHE"):
        monkeypatch.setenv(f"XDG_{place}_HOME", str(fair.parent / "own"))
    monkeypatch.chdir(fair.parent)
    fair.with_name("broken.yaml").write_text("fair: Osierholt\nstalls: none\n", "utf-8")
    result = CliRunner().invoke(app, ["hall", *words])
    if isinstance(result.exception, ShowtimeError):  # which the way in makes a line and a 2 of
        assert re.search(told, str(result.exception))
    else:
        assert result.exit_code == 2
        assert re.search(told, result.output)
    assert not (fair.parent / "own").exists()


def test_at_a_terminal_one_key_is_quiet_and_another_lifts_it(fair):
    """A hall is hushed without looking; the PIN is asked for once, and may be left out."""
    env = {"PATH": os.environ["PATH"], "HOME": str(fair.parent), "LANG": "C.UTF-8"}
    words = ["-m", "showtime", "hall", "fair.yaml", "--broker", "--listen"]
    words += [f"127.0.0.1:{free_port()}", "--port", "0", *AS_IF]
    terminal = pexpect.spawn(
        sys.executable, words, timeout=30, cwd=str(fair.parent), encoding="utf-8",
        env=env | {"PYTHONPATH": os.pathsep.join(sys.path)},
    )  # fmt: skip
    try:
        terminal.expect("PIN")
        terminal.sendline("")
        terminal.expect("It stays shut until there is a PIN")
        terminal.expect("Keys: c quiet for 10 minutes, l lifts it, q ends")
        terminal.send("c")
        terminal.expect("QUIET until 10:12: the organiser asks for quiet")
        terminal.send("l")
        terminal.expect("The quiet is lifted")
        terminal.send("q")
        terminal.expect("The organiser's desk is closed")
        terminal.expect(pexpect.EOF)
    finally:
        terminal.close()
    assert terminal.exitstatus == 0


def test_at_midnight_the_next_day_of_the_fair_begins(start, joins):
    port = free_port()
    node = start(
        "fair.yaml", "--broker", "--listen", f"127.0.0.1:{port}", "--port", str(free_port()),
        "--as-if", "2027-02-13T23:59:56",
    )  # fmt: skip
    node.says("Sunday 14 February begins")
    begins = next(n for n, line in enumerate(node.lines) if "begins" in line)
    until(lambda: any("The plan is handed out" in line for line in node.lines[begins:]))
    orchard = joins("The Tin Orchard", port, moment="2027-02-14T10:02")
    handed = orchard.hears(PlanHanded).handout
    assert handed.date.isoformat() == "2027-02-14"
    assert sum("The hall's page" in line for line in node.lines) == 2
    assert node.ends(signal.SIGTERM)[0] == 0


class UnsureMachine(ThisMachine):
    """A computer that was just switched on, and has no battery for its clock."""

    def read(self):
        unsure = {"synchronised": False, "battery": None, "firmware": False}
        return replace(super().read(), **unsure)


def test_a_clock_that_nothing_vouches_for_is_owned_up_to(fair):
    live = live_hall(load_fair(fair), "2027-02-14", "", UnsureMachine())
    assert live.doubt
    assert live.hall.date.isoformat() == "2027-02-14"
    assert live.turns_at is None, "it is the last day"


def plan_file(folder, *starts):
    """A plan that a person wrote: these stalls at these times."""
    stalls = [
        {"stall": stall, "performances": [{"starts": f"2027-02-13T{at}:00+00:00", "piece": piece}]}
        for stall, piece, at in starts
    ]
    file = folder / "plan.json"
    file.write_text(json.dumps({"day": "2027-02-13", "stalls": stalls}), "utf-8")
    return file.name


def test_a_plan_that_was_brought_is_handed_out_as_it_is(start, joins, room):
    port = free_port()
    plan = plan_file(
        room,
        ("The Tin Orchard", "Frost Bells", "10:15"),
        ("The Lantern Cart", "Small Lights", "10:30"),
    )
    node = start(
        "fair.yaml",
        "--broker",
        "--listen",
        f"127.0.0.1:{port}",
        "--no-page",
        "--plan",
        plan,
        *AS_IF,
    )
    node.says("The plan is handed out: 2 performances at 3 stalls")
    handed = joins("The Lantern Cart", port).hears(PlanHanded).handout
    assert [f"{each.starts:%H:%M}" for each in handed.performances] == ["10:30"]


def test_a_plan_that_breaks_rules_is_not_handed_out(start, room):
    plan = plan_file(
        room,
        ("The Tin Orchard", "Frost Bells", "10:15"),
        ("The Lantern Cart", "Small Lights", "10:15"),
    )
    node = start("fair.yaml", "--broker", "--plan", plan, *AS_IF)
    assert node.ends()[0] == 1
    node.says("at most 1 stall sounds at once within 4 m", 0.1)
    node.says("nothing was started", 0.1)


def test_rules_that_clash_are_told_and_the_hall_can_still_be_hushed(start, fair):
    fixed = "wishes: {fixed: [{at: 10:15}, {at: 10:20}]}}"
    clashing = FAIR.replace("wishes: {start_on: 15 min}}", fixed, 1)
    fair.write_text(clashing, "utf-8")
    node = start(
        "fair.yaml", "--broker", "--listen", f"127.0.0.1:{free_port()}", "--no-page", *AS_IF
    )
    node.says("There is no joint plan: each stall goes by its own")
    assert node.order("quiet", "5")[0] == 0


def test_mosquitto_is_the_line_of_a_real_fair(start, joins, fair, room):
    """The settings that are written, in a broker that others wrote, with TLS."""
    mosquitto = shutil.which("mosquitto") or shutil.which("/usr/sbin/mosquitto")
    if mosquitto is None:
        pytest.skip("there is no mosquitto on this machine; apt-get install mosquitto")
    port = free_port()
    setting_up = start("fair.yaml", "--setup", "line", "--at", f"127.0.0.1:{port}")
    assert setting_up.ends()[0] == 0
    setting_up.says(rf"showtime hall fair\.yaml --at 127\.0\.0\.1:{port} --line line", 0.1)
    line = room / "line"
    subprocess.run(["sh", "certificates.sh"], cwd=line, check=True, capture_output=True, timeout=60)
    if os.geteuid() == 0:  # else it turns into a user of its own, who may not read the passwords
        with (line / "mosquitto.conf").open("a") as settings:
            settings.write("user root\n")
    broker = subprocess.Popen(
        [mosquitto, "-c", str(line / "mosquitto.conf")], stderr=subprocess.DEVNULL
    )
    try:
        node = start(
            "fair.yaml", "--at", f"127.0.0.1:{port}", "--line", "line", "--no-page", *AS_IF
        )
        node.says("The plan is handed out")
        orchard = joins("The Tin Orchard", port, line, line / "fair-ca.pem")
        assert orchard.hears(PlanHanded).handout.performances
        assert "1 of 3 stalls have it" in node.order("quiet", "5", "a speech")[1]
        assert orchard.hears(QuietCalled).why == "a speech"
        assert node.ends(signal.SIGTERM)[0] == 0
        late = joins("The Lantern Cart", port, line, line / "fair-ca.pem")
        assert late.hears(PlanHanded).handout.performances, "the plan stays with the broker"
    finally:
        broker.terminate()
        broker.wait(10)
