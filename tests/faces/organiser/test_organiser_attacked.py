"""Strangers at the organiser's door: nobody but who knows the PIN silences a hall."""

from __future__ import annotations

import random
import re
import socket
import time
from concurrent.futures import ThreadPoolExecutor
from uuid import uuid4

import httpx
import pytest

from showtime.faces.organiser import announced, open_organiser_pages
from showtime.faces.organiser.organised import OrganisedHall
from showtime.faces.pages import PagesError, PinFile


def raw(hall, request, wait=3.0):
    """What comes back for bytes that no browser would send."""
    with socket.create_connection((hall.pages.where.host, hall.pages.where.port)) as calling:
        calling.settimeout(wait)
        calling.sendall(request)
        try:
            return calling.recv(4096)
        except (TimeoutError, ConnectionResetError):
            return b""


def door_of(visit, hall):
    return re.search(r'name="door" value="([^"]+)"', visit.get(f"{hall.url}hall").text)[1]


def knock(visit, hall, pin, **headers):
    own = {"Origin": hall.url.rstrip("/")} | headers
    data = {"door": door_of(visit, hall), "pin": pin}
    return visit.post(f"{hall.url}hall/pin", data=data, headers=own)


def test_without_the_pin_there_is_a_door_and_nothing_else(open_hall, visit):
    hall = open_hall()
    page = visit.get(f"{hall.url}hall").text
    assert "PIN" in page
    assert "Orchard" not in page
    assert "Quiet" not in page
    assert visit.get(hall.url).headers["location"] == "/hall"
    for path in ("hall/now", "hall/changes"):
        answer = visit.get(f"{hall.url}{path}")
        assert (answer.status_code, "Orchard" in answer.text) == (403, False)


@pytest.mark.parametrize("where", ["quiet", "lift", "leave"])
@pytest.mark.parametrize("form", ["", "guessed", "é"])
def test_a_missing_or_made_up_token_does_nothing(open_hall, let_in, where, form):
    hall = open_hall()
    send = let_in(hall)
    answer = send(where, form=form, minutes="10", call="call1", once="a")
    assert answer.status_code == 403
    assert hall.organiser.calls == []
    assert send("quiet", minutes="10", once="b").status_code == 303, "she is still in"


def test_a_token_without_the_cookie_does_nothing(open_hall, visit, let_in):
    hall = open_hall()
    let_in(hall)
    form = re.search(r'name="form" value="([^"]+)"', visit.get(f"{hall.url}hall").text)[1]
    with httpx.Client(timeout=5, trust_env=False) as stranger:
        answer = stranger.post(
            f"{hall.url}hall/quiet",
            data={"form": form, "minutes": "30", "once": "a"},
            headers={"Origin": hall.url.rstrip("/")},
        )
    assert answer.status_code == 403
    assert hall.organiser.calls == []


@pytest.mark.parametrize(
    "headers",
    [{"Origin": "http://evil.example"}, {"Origin": "null"}, {"Sec-Fetch-Site": "cross-site"},
     {"Sec-Fetch-Site": "same-site"}, {"Origin": "", "Referer": "http://evil.example/hall"}],
    ids=str,
)  # fmt: skip
def test_a_form_on_a_strangers_page_does_nothing(open_hall, visit, let_in, headers):
    hall = open_hall()
    let_in(hall)
    form = re.search(r'name="form" value="([^"]+)"', visit.get(f"{hall.url}hall").text)[1]
    answer = visit.post(
        f"{hall.url}hall/quiet",
        data={"form": form, "minutes": "30", "once": "a"},
        headers={"Origin": hall.url.rstrip("/")} | headers,
    )
    assert answer.status_code == 403
    assert hall.organiser.calls == []


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "127.0.0.1:1", ""])
def test_a_foreign_host_gets_nothing(open_hall, visit, host):
    hall = open_hall()
    answer = visit.get(f"{hall.url}hall", headers={"Host": host})
    assert answer.status_code in (400, 421)
    assert "PIN" not in answer.text


@pytest.mark.parametrize(
    "fields",
    [{"minutes": "1000000"}, {"minutes": "-10"}, {"minutes": "7"}, {"minutes": ""}, {},
     {"minutes": "10", "why": "x" * 81}, {"minutes": "10\r\nx"}],
    ids=str,
)  # fmt: skip
def test_only_the_quiet_that_is_offered_can_be_had(open_hall, let_in, fields):
    hall = open_hall()
    answer = let_in(hall)("quiet", once=uuid4().hex, **fields)
    assert answer.status_code == 400
    assert hall.organiser.calls == []


def test_a_double_tap_asks_once_but_an_old_page_can_still_ask(open_hall, visit, let_in):
    hall = open_hall()
    send = let_in(hall)
    for _ in range(3):
        send("quiet", minutes="10", once="tapped")
    assert len(hall.organiser.calls) == 1
    assert "That was done already." in visit.get(f"{hall.url}hall").text
    send("lift", call="call1")
    send("quiet", minutes="10", once="tapped")
    assert len(hall.organiser.calls) == 2, "a page from before must not keep quiet from being had"
    send("quiet", minutes="30", once="tapped")
    assert hall.organiser.calls[-1][0] == 30


def test_a_quiet_that_is_not_there_cannot_be_lifted(open_hall, visit, let_in):
    hall = open_hall()
    assert let_in(hall)("lift", call="x" * 300).status_code == 303
    assert "That quiet is over already." in visit.get(f"{hall.url}hall").text


def test_the_reason_is_shown_as_text(open_hall, visit, let_in):
    hall = open_hall()
    let_in(hall)("quiet", minutes="10", once="a", why="<script>alert(1)</script>\r\n  now")
    assert hall.organiser.calls == [(10, "<script>alert(1)</script> now")]
    page = visit.get(f"{hall.url}hall").text
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt; now" in page


def test_a_reason_that_would_turn_text_around_or_ring_a_bell_is_made_plain(open_hall, let_in):
    hall = open_hall()
    let_in(hall)("quiet", minutes="10", once="a", why="\u202ea\x07 speech\x1b[2J")
    assert hall.organiser.calls == [(10, "a speech [2J")]


def test_a_quiet_that_cannot_be_called_for_is_said_to_have_failed(open_hall, visit, let_in):
    hall = open_hall()
    hall.organiser.out_of_order = True
    assert let_in(hall)("quiet", minutes="10", once="a").status_code == 303
    assert "NOT DONE: the line is out of order" in visit.get(f"{hall.url}hall").text


def test_many_guesses_at_once_are_as_many_guesses(open_hall, visit):
    hall = open_hall()
    door, cookies = door_of(visit, hall), dict(visit.cookies)

    def guess(pin):
        with httpx.Client(timeout=20, trust_env=False, cookies=cookies) as own:
            return own.post(
                f"{hall.url}hall/pin",
                data={"door": door, "pin": pin},
                headers={"Origin": hall.url.rstrip("/")},
            ).status_code

    with ThreadPoolExecutor(12) as crowd:
        codes = list(crowd.map(guess, [f"{n:06}" for n in range(20)]))
    assert codes.count(403) == 5
    assert codes.count(429) == 15
    assert knock(visit, hall, hall.pin).status_code == 429, "nor does the right one help now"
    hall.seconds += 3601
    assert knock(visit, hall, hall.pin).status_code == 303


def test_the_cookie_is_for_these_pages_alone_and_for_a_day(open_hall, visit):
    hall = open_hall()
    cookie = knock(visit, hall, hall.pin).headers["set-cookie"].lower()
    for part in ("httponly", "samesite=strict", "path=/hall", "max-age=43200"):
        assert part in cookie
    assert "Orchard" in visit.get(f"{hall.url}hall").text
    hall.seconds += 43201
    assert "Orchard" not in visit.get(f"{hall.url}hall").text


def test_locking_the_page_ends_it_everywhere(open_hall, visit, let_in):
    hall = open_hall()
    send = let_in(hall)
    cookies = dict(visit.cookies)
    send("leave")
    with httpx.Client(timeout=5, trust_env=False, cookies=cookies) as copied:
        assert copied.get(f"{hall.url}hall/now").status_code == 403


def test_a_stream_tells_a_thief_of_the_line_nothing(open_hall, visit, let_in):
    """It says that there is news; what that is, is asked for with the cookie."""
    hall = open_hall()
    let_in(hall)
    with visit.stream("GET", f"{hall.url}hall/changes") as stream:
        lines = stream.iter_lines()
        assert next(lines) == "data: look"
        hall.organiser.plays("The Tin Orchard")
        assert [next(lines), next(lines)] == ["", "data: look"]


def test_streams_are_bounded(open_hall, visit, let_in):
    hall = open_hall()
    let_in(hall)
    where = hall.pages.where
    cookie = "; ".join(f"{name}={value}" for name, value in visit.cookies.items())
    ask = (
        f"GET /hall/changes HTTP/1.1\r\nHost: {where.host}:{where.port}\r\nCookie: {cookie}\r\n\r\n"
    )
    callers = [socket.create_connection((where.host, where.port), timeout=5) for _ in range(20)]
    try:
        codes = []
        for each in callers:
            each.sendall(ask.encode())
            codes.append(each.recv(4096).split()[1])
        assert (codes.count(b"200"), codes.count(b"403")) == (16, 4)
    finally:
        for each in callers:
            each.close()


def test_every_answer_carries_the_guards(open_hall, visit):
    hall = open_hall()
    for path in ("hall", "hall/hall.js", "nothing"):
        head = visit.get(f"{hall.url}{path}").headers
        assert "default-src 'none'" in head["content-security-policy"]
        assert "unsafe" not in head["content-security-policy"]
        assert head["x-frame-options"] == "DENY"
        assert "server" not in head


@pytest.mark.parametrize(
    "path",
    ["/hall/../../etc/passwd", "/hall/%2e%2e/desk.py", "/hall/templates/hall.html",
     "/hall/hall.css%00", "/hall//hall_now.html", "/keeper", "/board.css"],
)  # fmt: skip
def test_no_path_leads_out_of_what_is_shown(open_hall, path):
    hall = open_hall()
    host = f"{hall.pages.where.host}:{hall.pages.where.port}"
    answer = raw(hall, f"GET {path} HTTP/1.1\r\nHost: {host}\r\n\r\n".encode())
    assert answer.split()[1] in (b"400", b"404")


def test_rubbish_is_answered_shortly_and_does_no_harm(open_hall, visit, full):
    hall = open_hall()
    luck = random.Random(11)
    host = f"{hall.pages.where.host}:{hall.pages.where.port}".encode()
    begins = [b"", b"GET /hall HTTP/1.1\r\nHost: " + host, b"POST /hall/quiet HTTP/1.1\r\n"]
    for _ in range(2000 if full else 30):
        rubbish = luck.choice(begins) + luck.randbytes(luck.randrange(1, 300)) + b"\r\n\r\n"
        answer = raw(hall, rubbish, wait=0.1)
        assert b"Orchard" not in answer
        assert b"Traceback" not in answer
    assert visit.get(f"{hall.url}hall").status_code == 200
    assert hall.organiser.calls == []


def test_two_hundred_idle_connections_do_not_keep_the_organiser_out(open_hall, visit, let_in):
    hall = open_hall()
    send = let_in(hall)
    where = hall.pages.where
    idle = [socket.create_connection((where.host, where.port), timeout=5) for _ in range(200)]
    try:
        begun = time.monotonic()
        assert send("quiet", minutes="5", once="a").status_code == 303
        assert time.monotonic() - begun < 1.0
        assert hall.organiser.calls == [(5, "the organiser asks for quiet")]
    finally:
        for each in idle:
            each.close()


def test_without_a_pin_there_is_no_page_at_all(obedient, visit, tmp_path):
    organiser = obedient()
    shown = OrganisedHall(organiser.hall, organiser)
    pages = open_organiser_pages(shown, time.monotonic, 0, pin=PinFile(tmp_path / "none.pin"))
    try:
        answer = visit.get(f"{pages.where.url}hall")
        assert (answer.status_code, "showtime pin" in answer.text) == (404, True)
    finally:
        pages.close()


def test_a_port_that_is_taken_is_named(open_hall):
    hall = open_hall()
    with pytest.raises(PagesError, match=f"port {hall.pages.where.port} cannot be had"):
        open_organiser_pages(
            OrganisedHall(hall.organiser.hall, hall.organiser),
            time.monotonic,
            hall.pages.where.port,
        )


def test_the_terminal_says_who_can_see_the_page():
    said = "\n".join(announced(8018, lan=True))
    assert "Nothing of it is encrypted" in said
    assert "knows the PIN" in said
    assert "█" in said
    assert "127.0.0.1:8018/hall" in "\n".join(announced(8018, lan=False))
