"""What a stall is handed for its day: a file that it can follow, or all that is wrong with it."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime

import pytest

from showtime.fair import Performance, QuietInterval, Span
from showtime.fair.hall import Handout
from showtime.live import HandoutError, handout_document, handout_from, handout_in


@pytest.fixture
def handout(short_day, short_plan, at):
    quiet = QuietInterval("The Lantern Cart plays", Span(at("10:40"), at("10:46")))
    return Handout("Stall", short_day.date, short_plan, (quiet,))


@pytest.fixture
def document(handout, short_day):
    return json.loads(json.dumps(handout_document(handout, short_day)))


def test_what_was_written_is_read_back(handout, short_day, document):
    assert handout_from(document, [short_day]) == handout


def test_it_tells_all_that_a_plan_of_one_stall_tells(document, short_plan):
    assert {"day", "stall", "performances", "levels", "mean_wait_minutes"} <= set(document)
    assert {"longest_wait_minutes", "seconds", "fair", "quiet"} <= set(document)
    assert document["performances"][0] == {
        "starts": "2027-02-13T10:30:00+00:00",
        "ends": "2027-02-13T10:35:00+00:00",
        "piece": "Bells",
    }
    assert document["quiet"] == [
        {
            "why": "The Lantern Cart plays",
            "from": "2027-02-13T10:40:00+00:00",
            "until": "2027-02-13T10:46:00+00:00",
        }
    ]


def test_a_margin_is_handed_out_as_part_of_the_quiet(handout, short_day, at):
    from datetime import timedelta

    wide = tuple(replace(quiet, margin=timedelta(minutes=2)) for quiet in handout.quiet)
    written = handout_document(replace(handout, quiet=wide), short_day)
    (quiet,) = handout_from(written, [short_day]).quiet
    assert quiet.forbidden == Span(at("10:38"), at("10:48"))


def test_a_bare_plan_of_the_stall_can_be_followed(document, short_day):
    del document["quiet"], document["fair"], document["levels"]
    assert handout_from(document, [short_day]).quiet == ()


def test_performances_are_read_in_order_of_time(document, short_day, short_plan):
    document["performances"].reverse()
    assert handout_from(document, [short_day]).performances == short_plan


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda d: d.update(stall="The Lantern Cart"), "handed to The Lantern Cart"),
        (lambda d: d.pop("stall"), "handed to nobody"),
        (lambda d: d.update(day="2027-02-20"), "'day' '2027-02-20' is no day of this stall"),
        (lambda d: d.update(day=20270213), "is no day of this stall"),
        (lambda d: d.pop("performances"), "'performances' must be a list"),
        (lambda d: d.update(quiet="none"), "'quiet' must be a list"),
        (lambda d: d["performances"][1].pop("starts"), "performances 2: 'starts' is missing"),
        (lambda d: d["performances"][1].update(piece="Jig"), "no piece is named 'Jig'; there are"),
        (lambda d: d["performances"][0].update(starts="10:30"), "is no time; write it like"),
        (lambda d: d["performances"][0].update(starts="2027-02-13T10:30"), "is no time"),
        (
            lambda d: d["performances"][0].update(ends="2027-02-13T10:31:00+00:00"),
            "Bells would end at 2027-02-13T10:35:00+00:00 by the settings",
        ),
        (lambda d: d["performances"].append(7), "performances 6: 'starts' is missing"),
        (lambda d: d["quiet"][0].update(until=d["quiet"][0]["from"]), "must come after 'from'"),
        (lambda d: d["quiet"][0].update(why=""), "'why' is missing"),
        (lambda d: d["quiet"][0].update(why="a\x1b[2Jb"), "must be one line"),
        (lambda d: d["quiet"][0].update(why="x" * 201), "at most 200"),
        (lambda d: d["quiet"][0].update({"from": "9999-12-31T23:59:59-23:59"}), "is no time"),
        (lambda d: d.update(performances=d["performances"] * 1000), "at most 2000"),
    ],
)
def test_what_cannot_be_followed_is_told_in_words(document, short_day, spoil, said):
    spoil(document)
    with pytest.raises(HandoutError) as told:
        handout_from(document, [short_day], "from the organiser")
    assert said in str(told.value)
    assert all(line.startswith("from the organiser: ") for line in str(told.value).splitlines())


@pytest.mark.parametrize("document", [None, 7, "plan", [], [{}]])
def test_what_is_no_document_at_all_is_refused(document, short_day):
    with pytest.raises(HandoutError, match="not a stall's day file"):
        handout_from(document, [short_day])


def test_all_that_is_wrong_is_told_at_once_each_at_its_place(document, short_day, tmp_path):
    document["performances"][0]["piece"] = "Jig"
    document["performances"][3]["starts"] = "at noon"
    document["quiet"][0]["why"] = ""
    file = tmp_path / "saturday.json"
    file.write_text(json.dumps(document, indent=1), "utf-8")
    with pytest.raises(HandoutError) as told:
        handout_in(file, [short_day])
    first, second, third = str(told.value).splitlines()
    assert "Jig" in first and "at noon" in second and "'why'" in third
    line = int(second.removeprefix(f"{file}:").split(":")[0])
    assert "at noon" in "".join(file.read_text("utf-8").splitlines()[line - 3 : line + 2])


@pytest.mark.parametrize(
    ("text", "said"),
    [("{", "not JSON"), (b"\xff\xfe", "cannot read"), ("[" * 99999, "cannot read")],
)
def test_a_file_that_is_none_is_told_with_its_name(short_day, tmp_path, text, said):
    file = tmp_path / "saturday.json"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(HandoutError, match=f"saturday.json.*{said}"):
        handout_in(file, [short_day])
    with pytest.raises(HandoutError, match="nowhere.json:1:1: cannot read"):
        handout_in(tmp_path / "nowhere.json", [short_day])


def test_the_times_are_those_of_the_stalls_wall_clock_whatever_the_season(handout, short_day):
    june = replace(short_day, date=datetime(2027, 6, 12).date())
    july_plan = tuple(
        Performance(p.starts.replace(month=6, day=12), p.piece) for p in handout.performances
    )
    written = handout_document(replace(handout, performances=july_plan, quiet=()), june)
    assert written["performances"][0]["starts"] == "2027-06-12T11:30:00+01:00"
