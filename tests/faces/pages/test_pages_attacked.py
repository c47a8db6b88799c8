"""Strangers on the network, on this machine's own loop: nothing gets in, and nobody is kept out."""

from __future__ import annotations

import random
import re
import socket
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress

import httpx
import pytest

from showtime.live import Stage


def raw(stall, request: bytes, wait: float = 3.0) -> bytes:
    """What comes back for bytes that no browser would send."""
    with socket.create_connection((stall.pages.where.host, stall.pages.where.port)) as calling:
        calling.settimeout(wait)
        calling.sendall(request)
        try:
            return calling.recv(4096)
        except (TimeoutError, ConnectionResetError):
            return b""


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "127.0.0.1:1", ""])
def test_a_foreign_host_gets_nothing(open_stall, visit, host):
    stall = open_stall()
    answer = visit.get(stall.url, headers={"Host": host})
    assert answer.status_code in (400, 421)
    assert "Rook" not in answer.text


@pytest.mark.parametrize(
    "path",
    ["/../../etc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "/board.css/../../bill.py",
     "/static/board.css",
     "/templates/board.html", "/board.css%00.py", "//etc/passwd"],
)  # fmt: skip
def test_no_path_leads_out_of_what_is_shown(open_stall, path):
    stall = open_stall()
    host = f"{stall.pages.where.host}:{stall.pages.where.port}"
    answer = raw(stall, f"GET {path} HTTP/1.1\r\nHost: {host}\r\n\r\n".encode())
    assert answer.split()[1] in (b"400", b"404")


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "TRACE", "PATCH"])
def test_other_methods_are_not_done(open_stall, visit, method):
    stall = open_stall()
    assert visit.request(method, stall.url).status_code == 405


def test_ten_megabytes_are_refused_before_they_are_read(open_stall):
    stall = open_stall()
    host = f"{stall.pages.where.host}:{stall.pages.where.port}".encode()
    head = b"POST / HTTP/1.1\r\nHost: " + host + b"\r\nOrigin: http://" + host
    declared = raw(stall, head + b"\r\nContent-Length: 10000000\r\n\r\n" + b"x" * 1000)
    assert b" 413 " in declared.splitlines()[0]
    chunks = head + b"\r\nTransfer-Encoding: chunked\r\n\r\n" + b"1388\r\n" + b"x" * 5000 + b"\r\n"
    assert b" 413 " in raw(stall, chunks).splitlines()[0]


def test_every_answer_carries_the_guards(open_stall, visit):
    stall = open_stall()
    for path in ("", "board.js", "nothing", "day.ics"):
        head = visit.get(f"{stall.url}{path}").headers
        assert "default-src 'none'" in head["content-security-policy"]
        assert "unsafe" not in head["content-security-policy"]
        assert head["x-content-type-options"] == "nosniff"
        assert head["x-frame-options"] == "DENY"
        assert "server" not in head


def test_two_hundred_idle_connections_keep_nobody_out(open_stall, visit):
    stall = open_stall()
    where = stall.pages.where
    idle = [socket.create_connection((where.host, where.port), timeout=5) for _ in range(200)]
    try:
        begun = time.monotonic()
        assert visit.get(stall.url).status_code == 200
        assert time.monotonic() - begun < 2.0
    finally:
        for each in idle:
            each.close()


def test_who_says_nothing_or_dawdles_is_dropped(open_stall):
    stall = open_stall()
    where = stall.pages.where
    with socket.create_connection((where.host, where.port)) as dawdler:
        dawdler.settimeout(9)
        dawdler.sendall(b"GET / HTTP/1.1\r\nHost: ")
        begun = time.monotonic()
        with suppress(ConnectionResetError):
            assert dawdler.recv(100) == b""
        assert time.monotonic() - begun < 7.0


def test_the_public_pages_say_nothing_of_a_keeper(open_stall, visit):
    stall = open_stall()
    for path in ("", "board.css", "board.js", "nothing"):
        body = visit.get(f"{stall.url}{path}").text.lower()
        assert "keeper" not in body


def test_who_takes_nothing_of_what_it_asked_for_holds_up_nobody(open_stall, visit):
    stall = open_stall()
    where = stall.pages.where
    deaf = []
    for _ in range(10):
        calling = socket.socket()
        calling.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
        calling.connect((where.host, where.port))
        calling.sendall(
            f"GET /changes HTTP/1.1\r\nHost: {where.host}:{where.port}\r\n\r\n".encode()
        )
        deaf.append(calling)
    try:
        slowest = 0.0
        for number in range(60):
            stall.house.tell(["release" if number % 2 else "hold"])
            begun = time.monotonic()
            assert visit.get(stall.url).status_code == 200
            slowest = max(slowest, time.monotonic() - begun)
        assert slowest < 1.0
    finally:
        for each in deaf:
            each.close()


def test_one_address_cannot_take_every_stream(open_stall):
    stall = open_stall()
    where = stall.pages.where
    ask = f"GET /changes HTTP/1.1\r\nHost: {where.host}:{where.port}\r\n\r\n".encode()
    callers = [socket.create_connection((where.host, where.port), timeout=5) for _ in range(30)]
    try:
        answers = []
        for each in callers:
            each.sendall(ask)
            answers.append(each.recv(4096).split()[1])
        assert answers.count(b"200") == 24
        assert answers.count(b"503") == 6
    finally:
        for each in callers:
            each.close()


def test_the_day_starts_on_time_while_strangers_ask_and_ask(open_stall, visit):
    """How late exactly is a figure of the bench; here it is only that nothing is held up."""
    stall = open_stall("10:29:58")
    slot = stall.state.upcoming[0]
    begun = time.monotonic()
    asked = 0
    while not stall.state.played and time.monotonic() - begun < 10:
        assert visit.get(stall.url).status_code == 200
        asked += 1
    assert asked > 100
    assert (stall.state.played[0].started - slot.starts).total_seconds() < 0.25


def test_many_guesses_at_once_are_as_many_guesses(open_stall):
    stall = open_stall()
    with httpx.Client(timeout=20, trust_env=False) as one:
        page = one.get(f"{stall.url}keeper").text
        door = re.search(r'name="door" value="([^"]+)"', page)[1]
        cookies = dict(one.cookies)

    def guess(pin):
        with httpx.Client(timeout=20, trust_env=False, cookies=cookies) as own:
            return own.post(
                f"{stall.url}keeper/pin",
                data={"door": door, "pin": pin},
                headers={"Origin": stall.url.rstrip("/")},
            ).status_code

    with ThreadPoolExecutor(12) as crowd:
        codes = list(crowd.map(guess, [f"{n:06}" for n in range(24)]))
    assert codes.count(403) == 5
    assert codes.count(429) == 19


def test_rubbish_is_answered_shortly_and_does_no_harm(open_stall, visit, full):
    stall = open_stall()
    luck = random.Random(7)
    host = f"{stall.pages.where.host}:{stall.pages.where.port}".encode()
    begins = [b"", b"GET / HTTP/1.1\r\nHost: " + host + b"\r\n", b"POST /keeper/do HTTP/1.1\r\n"]
    for _ in range(2000 if full else 150):
        rubbish = luck.choice(begins) + luck.randbytes(luck.randrange(1, 300)) + b"\r\n\r\n"
        answer = raw(stall, rubbish, wait=0.2)
        assert b"HOLD" not in answer
        assert b"Traceback" not in answer
    assert visit.get(stall.url).status_code == 200
    assert stall.state.stage is Stage.WAITING
