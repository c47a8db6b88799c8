"""The report as a page, on paper, as tables and on the terminal: the same in each."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from html.parser import HTMLParser
from io import StringIO
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from click.testing import CliRunner

from showtime.cli import app
from showtime.faces.report import document, page, printed, tables
from showtime.fair import Performance, Plan, Span, Stall, budgets
from showtime.live.account import Account, account_in
from showtime.settings import shipped

Lived = Any
Live = Callable[..., Any]
MINUTE = timedelta(minutes=1)


def account(day: Lived, now: datetime | None = None) -> Account:
    return account_in(day.stall, now or day.clock.now(), day.plan.day.date, day.path)


def moments(found: dict[str, Any], *keys: str) -> list[datetime]:
    rows: Any = found
    for key in keys[:-1]:
        rows = rows[key]
    return [datetime.fromisoformat(row[keys[-1]]) for row in rows]


def test_two_years_stand_side_by_side(live: Live, saturday_plan: Plan) -> None:
    this = live(saturday_plan)
    hours = saturday_plan.day.hours
    year = timedelta(days=364)
    before = replace(
        saturday_plan.day, date=date(2026, 2, 14), hours=Span(hours.start - year, hours.end - year)
    )
    earlier = tuple(replace(p, starts=p.starts - year) for p in saturday_plan.performances[:5])
    last = live(replace(saturday_plan, day=before, performances=earlier), name="2026.journal")
    then = account_in(this.stall, this.clock.now(), this.plan.day.date, last.path)
    assert then.day.date == date(2026, 2, 14)
    both = [document(account(this)), document(then)]
    assert any("no such day" in note for note in both[1]["notes"])
    assert len(both[1]["performances"]) == 5
    assert both[1]["waits"]["promised_mean"] > both[0]["waits"]["promised_mean"]
    shown = page(both)
    assert shown.count("<svg") == 8
    assert "2026-02-14" in shown
    text = text_of(printed(both))
    assert "2026-02-14" in text
    assert "2027-02-13" in text


PERSONAL = ("Mrs Gale", "Mill Lane", "the mayor", "speaks", "Lantern Cart", "agreed with", "01632")


def test_shared_nothing_personal_is_left_in_it(saturday_lived: Lived, tmp_path: Path) -> None:
    found = account(saturday_lived)
    for share in (False, True):
        told = document(found, share=share)
        texts = [
            json.dumps(told),
            page([told]),
            text_of(printed([told])),
            *(content.decode() for content in tables(told).values()),
        ]
        for text in texts:
            left = [words for words in PERSONAL if words in text]
            if share:
                assert not left, left
                assert str(tmp_path) not in text
        assert any("Mrs Gale" in text for text in texts) is not share
    told = document(found, share=True)
    assert any("60 dBA at neighbour 1" in cap["name"] for cap in told["caps"])
    assert len(told["performances"]) == len(document(found)["performances"])


class Reader(HTMLParser):
    """What is in a page: its elements, what they load, and its text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data


HOSTILE = "<script>alert(1)</script> \"&'{x}</style>"


def test_a_page_loads_nothing_and_a_name_is_text(live: Live, saturday_plan: Plan) -> None:
    day = saturday_plan.day
    pieces = {p.name: replace(p, name=f"{HOSTILE} {n}") for n, p in enumerate(day.pieces)}
    board = replace(day.signboard, figure=HOSTILE, stall=HOSTILE, fair=HOSTILE)
    wishes = replace(day.wishes, fixed=())
    hostile = replace(
        day, signboard=board, pieces=tuple(pieces.values()), budgets=(), wishes=wishes
    )
    made = tuple(replace(p, piece=pieces[p.piece.name]) for p in saturday_plan.performances)
    orders = [(60 * MINUTE, ("hold", HOSTILE)), (61 * MINUTE, ("release",))]
    lived = live(replace(saturday_plan, day=hostile, performances=made), orders=orders, asks=20)
    told = document(account(lived))
    read = Reader(page([told]))
    names = {tag for tag, _ in read.tags}
    assert not names & {"script", "link", "img", "iframe", "object", "a", "form"}
    for _, attributes in read.tags:
        assert not any(name.startswith("on") or name in ("src", "href") for name in attributes)
    assert HOSTILE in read.text
    assert text_of(printed([told])).count("<script>alert(1)</script>") > 5
    for name, content in tables(told).items():
        rows = list(csv.reader(StringIO(content.decode())))
        assert len({len(row) for row in rows}) == 1, name


def test_cruelly_long_names_stay_on_the_paper(live: Live, saturday_plan: Plan) -> None:
    day, long = saturday_plan.day, "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbau" * 3
    pieces = {p.name: replace(p, name=f"{long}{n}") for n, p in enumerate(day.pieces)}
    board = replace(day.signboard, figure=long, stall=long, fair=long)
    caps = (budgets.AtMost(f"{long}0", 9), budgets.Performances(30, because=long))
    wishes = replace(day.wishes, fixed=())
    longest = replace(
        day, signboard=board, pieces=tuple(pieces.values()), budgets=caps, wishes=wishes
    )
    made = tuple(replace(p, piece=pieces[p.piece.name]) for p in saturday_plan.performances)
    orders = [(60 * MINUTE, ("hold", long)), (61 * MINUTE, ("release",))]
    lived = live(replace(saturday_plan, day=longest, performances=made), orders=orders, asks=20)
    told = document(account(lived))
    for sheet in pypdfium2.PdfDocument(printed([told, told])):
        wide, high = sheet.get_size()
        for thing in sheet.get_objects():
            left, bottom, right, top = thing.get_bounds()
            assert left >= 0 and bottom >= 0 and right <= wide + 1 and top <= high + 1


def text_of(pdf: bytes) -> str:
    pages = [p.get_textpage().get_text_bounded() for p in pypdfium2.PdfDocument(pdf)]
    found = " ".join("\n".join(pages).replace("\u200b", "").replace("\ufffe", "").split())
    return found.translate({0x2019: "'", 0x201C: '"', 0x201D: '"'})


def test_page_paper_and_tables_tell_the_same_figures(saturday_lived: Lived) -> None:
    from showtime.faces.report.figures import figures

    told = document(account(saturday_lived))
    shown, paper = Reader(page([told])), text_of(printed([told]))
    rows = list(csv.reader(StringIO(tables(told)["figures.csv"].decode())))[1:]
    assert [tuple(row) for row in rows] == figures(told)
    for name, value in figures(told):
        assert f"{name}{value}" in shown.text.replace("\n", ""), name
        assert f"{name} {value}" in paper, name
    for row in told["performances"]:
        assert row["started"][11:19] in shown.text
        assert f"{row['planned'][11:16]} {row['started'][11:19]} {row['piece']}" in paper


def test_a_cell_that_a_spreadsheet_would_reckon_with_is_text(saturday_lived: Lived) -> None:
    told = document(account(saturday_lived))
    told["incidents"][0]["why"] = "=HYPERLINK(1)"
    assert ",'=HYPERLINK(1)" in tables(told)["incidents.csv"].decode()


def test_every_picture_has_its_words(saturday_lived: Lived) -> None:
    read = Reader(page([document(account(saturday_lived))]))
    labels = [attrs.get("aria-label") for tag, attrs in read.tags if tag == "svg"]
    assert len(labels) == 4
    assert all(label and len(label) > 30 for label in labels)
    assert {attrs.get("role") for tag, attrs in read.tags if tag == "svg"} == {"img"}


def test_the_command_writes_what_is_asked_for(
    live: Live, saturday_plan: Plan, tmp_path: Path
) -> None:
    day = live(saturday_plan, asks=30)
    config = str(shipped("config/tin-orchard.yaml"))
    run = CliRunner()

    def report(*words: str) -> Any:
        asked = ["report", config, "--journal", str(day.path), *words]
        return run.invoke(app, asked, catch_exceptions=False)

    plain = report()
    assert plain.exit_code == 0
    assert re.search(r"questions asked +30\n", plain.stdout)
    told = json.loads(report("--json").stdout)
    assert told["asked"]["total"] == 30
    both = tmp_path / "evening"
    assert f"written: {both / 'report.pdf'}" in report("--out", str(both)).stdout
    assert sorted(each.name for each in both.iterdir()) == ["report.html", "report.pdf"]
    report("--out", str(tmp_path / "one.html"), "--csv", str(tmp_path / "csv"))
    assert (tmp_path / "one.html").read_text().startswith("<!DOCTYPE html>")
    assert len(list((tmp_path / "csv").iterdir())) == 10
    report("--csv", str(tmp_path / "two"), "--with", str(day.path))
    folders = sorted(each.name for each in (tmp_path / "two").iterdir())
    assert folders == ["2027-02-13", "2027-02-13-again"]
    assert report("--out", str(tmp_path / "report.doc")).exit_code == 2


def test_the_report_and_the_plan_agree_on_every_time(
    live: Live, saturday_plan: Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    day = live(saturday_plan, asks=30)
    planned = json.loads(CliRunner().invoke(app, ["plan", "--json"]).stdout)["performances"]
    told = json.loads(
        CliRunner().invoke(app, ["report", "--journal", str(day.path), "--json"]).stdout
    )
    for one, other in zip(planned, told["performances"], strict=True):
        assert one["starts"] == other["planned"] == other["started"]
        assert one["ends"] == other["ended"]


def test_a_stall_without_caps_has_none_to_tell(tin_orchard: Stall, live: Live) -> None:
    day = replace(tin_orchard.days[0], budgets=())
    made = Plan(day, (Performance(day.hours.start + 30 * MINUTE, day.pieces[0]),))
    told = document(account(live(made, asks=40)))
    assert told["caps"] == []
    assert told["heat"] is None
    assert page([told]).count("<svg") == 3
