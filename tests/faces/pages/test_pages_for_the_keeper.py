"""The keeper's phone: what it shows, what it does, and who else might want to."""

from __future__ import annotations

import json
import re
import stat

import pytest

from showtime.faces.pages import PinFile, unfit
from showtime.faces.pages.sessions import LASTS, Sessions
from showtime.faces.pages.tries import Tries
from showtime.live import Stage


def doors(visit, stall):
    return re.search(r'name="door" value="([^"]+)"', visit.get(f"{stall.url}keeper").text)[1]


def knock(visit, stall, pin, door=None, **headers):
    own = {"Origin": stall.url.rstrip("/")} | headers
    data = {"door": door or doors(visit, stall), "pin": pin}
    return visit.post(f"{stall.url}keeper/pin", data=data, headers=own)


def test_without_the_pin_there_is_a_door_and_nothing_else(open_stall, visit):
    stall = open_stall()
    page = visit.get(f"{stall.url}keeper").text
    assert "PIN" in page
    assert "HOLD" not in page
    assert "Rook" not in page
    assert visit.get(f"{stall.url}keeper/now").status_code == 403
    assert visit.get(f"{stall.url}keeper/changes").status_code == 403


def test_the_pin_opens_it_and_the_cookie_is_for_these_pages_alone(open_stall, visit):
    stall = open_stall()
    answer = knock(visit, stall, stall.pin)
    cookie = answer.headers["set-cookie"].lower()
    assert answer.status_code == 303
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert "max-age" in cookie
    assert "HOLD" in visit.get(f"{stall.url}keeper").text


def test_hold_is_one_press_and_going_on_is_another(open_stall, visit, let_in):
    stall = open_stall()
    send = let_in(stall)
    send("hold", once="hold")
    assert stall.state.stage is Stage.HELD
    page = visit.get(f"{stall.url}keeper").text
    assert "Held. Release lets it go on." in page
    assert "Go on" in page
    send("release")
    assert stall.state.stage is Stage.WAITING


def test_what_a_button_would_change_stands_below_it_and_comes_true(open_stall, visit, let_in):
    stall = open_stall()
    send = let_in(stall)
    would = stall.house.tell(["would", "late", "5"])
    before = [stall.clock(slot.starts) for slot in stall.state.upcoming]
    assert would in visit.get(f"{stall.url}keeper").text
    assert [stall.clock(slot.starts) for slot in stall.state.upcoming] == before
    send("late 5")
    assert [stall.clock(slot.starts) for slot in stall.state.upcoming] != before
    assert "Take back: late 5" in visit.get(f"{stall.url}keeper").text
    send("undo")
    assert [stall.clock(slot.starts) for slot in stall.state.upcoming] == before


def test_any_order_is_shown_with_what_it_would_do_before_it_is_done(open_stall, visit, let_in):
    stall = open_stall()
    let_in(stall)
    page = visit.get(f"{stall.url}keeper", params={"order": "off 10:30"}).text
    assert "Do it: off 10:30" in page
    assert "10:30 Frost Bells is left out" in page
    wrong = visit.get(f"{stall.url}keeper", params={"order": "dance"}).text
    assert "means nothing here" in wrong


def test_a_form_that_comes_twice_is_done_once(open_stall, let_in):
    stall = open_stall()
    send = let_in(stall)
    send("late 15", once="tapped")
    after = stall.state.upcoming
    send("late 15", once="tapped")
    assert stall.state.upcoming == after


def test_what_was_promised_and_used_is_shown(open_stall, visit, let_in):
    stall = open_stall()
    let_in(stall)
    stall.house.tell(["ask"])
    page = visit.get(f"{stall.url}keeper").text
    assert "<b>10:30</b> open" in page
    assert "at most 3 performances in any 60 min" in page
    assert "percent used now" in page
    assert stall.state.last_answer.text.split()[0] in page


def test_the_remote_cannot_end_the_program(open_stall, let_in):
    stall = open_stall()
    assert let_in(stall)("end").status_code == 400
    assert stall.state.stage is Stage.WAITING


@pytest.mark.parametrize("form", ["", "guessed", "é"])
def test_a_missing_or_made_up_token_does_nothing(open_stall, let_in, form):
    stall = open_stall()
    assert let_in(stall)("hold", form=form).status_code == 403
    assert stall.state.stage is Stage.WAITING


def test_a_token_from_before_is_worth_nothing(open_stall, visit, let_in):
    stall = open_stall()
    send = let_in(stall)
    page = visit.get(f"{stall.url}keeper").text
    old = re.search(r'name="form" value="([^"]+)"', page)[1]
    own = {"Origin": stall.url.rstrip("/")}
    assert visit.post(f"{stall.url}keeper/leave", data={"form": old}, headers=own).is_redirect
    assert send("hold").status_code == 403
    let_in(stall)
    assert send("hold", form=old).status_code == 403
    assert stall.state.stage is Stage.WAITING


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": ""},
        {"Origin": "http://127.0.0.1:1"},
        {"Sec-Fetch-Site": "cross-site"},
    ],
)
def test_a_form_from_another_page_is_refused(open_stall, visit, let_in, headers):
    stall = open_stall()
    let_in(stall)
    page = visit.get(f"{stall.url}keeper").text
    form = re.search(r'name="form" value="([^"]+)"', page)[1]
    own = {"Origin": stall.url.rstrip("/")} | headers
    data = {"form": form, "once": "hold", "words": "hold"}
    assert visit.post(f"{stall.url}keeper/do", data=data, headers=own).status_code == 403
    assert stall.state.stage is Stage.WAITING


def test_after_five_wrong_pins_even_the_right_one_waits(open_stall, visit):
    stall = open_stall()
    codes = [knock(visit, stall, "000000").status_code for _ in range(5)]
    assert codes == [403] * 5
    answer = knock(visit, stall, stall.pin)
    assert answer.status_code == 429
    assert "Too many tries" in answer.text


def test_a_door_that_was_not_opened_here_takes_no_pin(open_stall, visit):
    stall = open_stall()
    assert knock(visit, stall, stall.pin, door="guessed").status_code == 403


def test_waits_grow_by_address_and_in_all():
    tries, now = Tries(), 1000.0
    for _ in range(5):
        assert tries.wait("a", now) == 0
        tries.begun("a", now)
    waits = []
    for _ in range(4):
        waits.append(tries.wait("a", now))
        now += waits[-1]
        tries.begun("a", now)
    assert waits == [30, 60, 120, 240]
    assert tries.wait("b", now) == 0
    for number in range(30):
        tries.begun(f"c{number}", now)
    assert tries.wait("d", now) > 0


def test_the_right_pin_makes_wrong_ones_forgotten():
    tries = Tries()
    for _ in range(4):
        tries.begun("a", 0.0)
    tries.was_right("a")
    tries.begun("a", 0.0)
    assert tries.wait("a", 0.0) == 0


def test_a_session_is_over_after_a_day_or_with_another_pin():
    sessions = Sessions()
    token = sessions.open("first", 0.0).token
    assert sessions.find(token, "first", LASTS - 1) is not None
    assert sessions.find(token, "second", 1.0) is None
    token = sessions.open("first", 0.0).token
    assert sessions.find(token, "first", LASTS) is None


def test_the_pin_is_kept_as_a_hash_that_only_its_owner_reads(tmp_path):
    kept = PinFile(tmp_path / "deep" / "keeper.pin")
    assert kept.mark == ""
    assert not kept.fits("")
    kept.set("482915")
    assert kept.fits("482915")
    assert not kept.fits("482916")
    assert "482915" not in kept.path.read_text()
    assert stat.S_IMODE(kept.path.stat().st_mode) == 0o600
    assert stat.S_IMODE(kept.path.parent.stat().st_mode) == 0o700
    first = json.loads(kept.path.read_text())
    kept.set("482915")
    assert json.loads(kept.path.read_text())["hash"] != first["hash"], "salted anew"


@pytest.mark.parametrize(
    "pin", ["", "12345", "123456", "654321", "000000", "abcdef", "١٢٣٤٥٧", "1" * 13]
)
def test_pins_that_are_guessed_first_are_refused(pin):
    assert unfit(pin)


@pytest.mark.parametrize("pin", ["482915", "135791", "900001"])
def test_others_will_do(pin):
    assert unfit(pin) == ""


def test_names_are_text_on_the_keepers_page_too(open_stall, visit, let_in):
    rude = "\"<script>alert(1)</script> & <img src=x onerror='x'>\""
    stall = open_stall(stall=rude, figure=rude, piece=rude, why=rude)
    let_in(stall)
    visit.get(f"{stall.url}keeper")
    page = visit.get(f"{stall.url}keeper", params={"order": "<script>alert(2)</script>"}).text
    assert "<script>alert" not in page
    assert "<img src=x" not in page


def test_no_log_tells_a_pin(open_stall, visit, caplog):
    caplog.set_level("DEBUG", logger="uvicorn")
    stall = open_stall()
    knock(visit, stall, "573829")
    knock(visit, stall, stall.pin)
    told = "".join(record.getMessage() for record in caplog.records)
    assert "573829" not in told
    assert stall.pin not in told
