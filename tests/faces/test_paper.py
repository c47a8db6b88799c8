"""Sheets that hang on the stall, lie at the neighbours' and in the keeper's pocket."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner

from showtime.cli import app
from showtime.faces.paper import (
    KINDS,
    LANGUAGES,
    SIZES,
    NoLabelsError,
    Notice,
    NoticeError,
    labels,
    notice,
)
from showtime.fair import Day, Performance, Plan, QuietInterval, Span, Stall

LONG = (
    "Llanfairpwllgwyngyllgogerychwyrndrobwllllantysiliogogogoch und seine außerordentliche "
    "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft von 1893"
)
MARKUP = [
    "<script>alert(1)</script>",
    "#panic() $x^2$ *b* _i_ @ref <label> // gone /* gone */ `raw`",
    'a "quoted" \\ name #{1 + 1} {figure} {phone}',
    "= heading - list + enum ~ -- --- ...",
]


def text_of(pdf: bytes) -> str:
    """What is read on all pages; places where words may break are no signs."""
    pages = [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf)]
    found = " ".join("\n".join(pages).replace("\u200b", "").replace("\ufffe", "").split())
    return found.translate({0x2019: "'", 0x201C: '"', 0x201D: '"'})


def renamed(plan: Plan, stall: Stall, name: str) -> tuple[Plan, Stall]:
    """The same day with everything called that."""
    board = replace(plan.day.signboard, figure=name, stall=name, fair=name)
    pieces = {p.name: replace(p, name=f"{name} {n}") for n, p in enumerate(plan.day.pieces)}
    quiet = tuple(replace(each, why=name) for each in plan.day.quiet)
    day = replace(plan.day, signboard=board, pieces=tuple(pieces.values()), quiet=quiet, budgets=())
    performances = tuple(replace(p, piece=pieces[p.piece.name]) for p in plan.performances)
    there = tuple(replace(each, name=name) for each in stall.neighbours)
    return replace(plan, day=day, performances=performances), replace(stall, neighbours=there)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("kind", KINDS)
def test_every_sheet_tells_every_start_of_the_plan_and_no_other(
    kind: str, language: str, tin_orchard: Stall, saturday_plan: Plan
) -> None:
    asked = Notice(tin_orchard, saturday_plan, labels(language, "en"))
    found = re.findall(r"\b\d\d:\d\d\b(?!:)", text_of(notice(kind, asked)))
    day = saturday_plan.day
    starts = [f"{day.local(p.starts):%H:%M}" for p in saturday_plan.performances]
    assert set(starts) <= set(found)
    if kind == "bill":
        assert found == starts


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_language_has_every_label_and_leaves_no_place_empty(
    language: str, tin_orchard: Stall, saturday_plan: Plan
) -> None:
    words, english = labels(language, "en").words, labels("en", "en").words
    assert words.keys() == english.keys()
    for name in words:
        places = set(re.findall(r"\{\w+\}", str(english[name])))
        if name not in ("changes",):  # a language may do without the name there
            assert set(re.findall(r"\{\w+\}", str(words[name]))) == places, name
    for kind in KINDS:
        shown = text_of(notice(kind, Notice(tin_orchard, saturday_plan, labels(language, "en"))))
        assert not re.search(r"[{}]", shown)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("kind", KINDS)
def test_a_cruelly_long_name_stays_on_the_sheet(
    kind: str, size: str, tin_orchard: Stall, saturday_plan: Plan
) -> None:
    plan, stall = renamed(saturday_plan, tin_orchard, LONG)
    sheet = pypdfium2.PdfDocument(notice(kind, Notice(stall, plan, labels("de", "en"), size)))
    if kind == "bill":
        assert len(sheet) == 1
    for page in sheet:
        wide, high = page.get_size()
        for thing in page.get_objects():
            left, bottom, right, top = thing.get_bounds()
            assert left >= 0 and bottom >= 0 and right <= wide + 1 and top <= high + 1


@pytest.mark.parametrize("name", MARKUP)
@pytest.mark.parametrize("kind", KINDS)
def test_markup_in_a_name_is_text(
    kind: str, name: str, tin_orchard: Stall, saturday_plan: Plan
) -> None:
    plan, stall = renamed(saturday_plan, tin_orchard, name)
    stall = replace(stall, phone=name)
    shown = text_of(notice(kind, Notice(stall, plan, labels("en", "en"))))
    wanted = re.sub(r"\s", "", name)
    assert wanted in re.sub(r"\s", "", shown)


def test_the_same_day_makes_the_same_bytes(tin_orchard: Stall, saturday_plan: Plan) -> None:
    for kind in KINDS:
        asked = Notice(tin_orchard, saturday_plan, labels("en", "en"), link="https://a.example/")
        assert notice(kind, asked) == notice(kind, asked)


def test_fonts_are_in_the_file(tin_orchard: Stall, saturday_plan: Plan) -> None:
    for kind in KINDS:
        pdf = notice(kind, Notice(tin_orchard, saturday_plan, labels("en", "en")))
        fonts = {
            (thing.get_font().get_base_name(), thing.get_font().is_embedded)
            for page in pypdfium2.PdfDocument(pdf)
            for thing in page.get_objects(filter=(pypdfium2.raw.FPDF_PAGEOBJ_TEXT,))
        }
        assert fonts
        assert all(embedded for _, embedded in fonts), fonts


def test_the_neighbour_reads_the_keepers_phone_as_typed(
    tin_orchard: Stall, saturday_plan: Plan
) -> None:
    words = labels("en", "en")
    with_phone = replace(tin_orchard, phone="01632 960 017")
    shown = text_of(notice("neighbours", Notice(with_phone, saturday_plan, words)))
    assert "Please ring the keeper: 01632 960 017" in shown
    assert "The levels are estimates for a free field: a hall adds reflections" in shown
    without = text_of(
        notice("neighbours", Notice(replace(tin_orchard, phone=""), saturday_plan, words))
    )
    assert "Please come over and say so." in without
    assert "01632" not in text_of(notice("bill", Notice(with_phone, saturday_plan, words)))


def test_each_neighbour_has_a_sheet_and_without_any_it_is_said(
    tin_orchard: Stall, saturday_plan: Plan
) -> None:
    (cart,) = tin_orchard.neighbours
    three = tuple(replace(cart, name=f"Stall {n}", distance_m=n) for n in (1, 2, 3))
    asked = Notice(replace(tin_orchard, neighbours=three), saturday_plan, labels("en", "en"))
    sheet = pypdfium2.PdfDocument(notice("neighbours", asked))
    assert ["For Stall" in page.get_textpage().get_text_bounded() for page in sheet] == [True] * 3
    with pytest.raises(NoticeError, match="name them in the settings: neighbours:"):
        notice("neighbours", replace(asked, stall=replace(tin_orchard, neighbours=())))


def test_a_piece_whose_level_nobody_told_is_named_as_unknown(
    tin_orchard: Stall, saturday_plan: Plan
) -> None:
    bells = replace(saturday_plan.day.pieces[0], level_dba=None)
    performances = tuple(
        replace(p, piece=bells) if p.piece.name == bells.name else p
        for p in saturday_plan.performances
    )
    plan = replace(saturday_plan, performances=performances)
    shown = text_of(notice("neighbours", Notice(tin_orchard, plan, labels("en", "en"))))
    assert "The level of Frost Bells is not known and not in these figures." in shown


def test_an_empty_day_says_so(tin_orchard: Stall, saturday: Day) -> None:
    for kind in KINDS:
        shown = text_of(notice(kind, Notice(tin_orchard, Plan(saturday, ()), labels("en", "en"))))
        assert "No performance today" in shown


def test_a_day_of_sixty_performances_is_still_one_bill(tin_orchard: Stall, saturday: Day) -> None:
    piece = saturday.pieces[0]
    starts = [saturday.hours.start + timedelta(minutes=7 * n) for n in range(60)]
    plan = Plan(saturday, tuple(Performance(each, piece) for each in starts))
    for size in SIZES:
        pdf = notice("bill", Notice(tin_orchard, plan, labels("en", "en"), size))
        assert len(pypdfium2.PdfDocument(pdf)) == 1
        assert text_of(pdf).count("Frost Bells") == 61


@pytest.fixture
def night(saturday: Day) -> Callable[[], Plan]:
    """Past midnight into the hour that comes twice: London, 31 October 2027, back at two."""

    def plan() -> Plan:
        begins = datetime(2027, 10, 30, 21, 30, tzinfo=UTC)
        day = replace(
            saturday,
            date=date(2027, 10, 30),
            hours=Span(begins, begins + timedelta(hours=5)),
            quiet=(QuietInterval("sleep", Span(begins, begins + timedelta(minutes=20))),),
            budgets=(),
        )
        starts = [begins + timedelta(minutes=30 * n) for n in range(1, 9)]
        return Plan(day, tuple(Performance(each, day.pieces[0]) for each in starts))

    return plan


def test_after_midnight_and_in_the_hour_that_comes_twice_nobody_is_misled(
    tin_orchard: Stall, night: Callable[[], Plan]
) -> None:
    shown = text_of(notice("bill", Notice(tin_orchard, night(), labels("en", "en"))))
    found = re.findall(r"\d\d:\d\d(?: [A-Z]{3})?", shown.split("Late, or")[0])
    assert found == [
        *("23:00", "23:30", "00:00", "00:30"),
        *("01:00 BST", "01:30 BST", "01:00 GMT", "01:30 GMT"),
    ]
    evening, midnight = shown.index("Evening"), shown.index("After midnight")
    assert evening < shown.index("23:30") < midnight < shown.index("00:00")


def test_a_language_without_labels_is_named_and_the_stalls_own_falls_back() -> None:
    with pytest.raises(NoLabelsError, match="--language xx: .* en, de, nl, fr, es, it, cy"):
        labels("xx", "en")
    assert labels("", "pt").language == "en"
    assert labels("", "nl").language == "nl"


def run(*words: str) -> dict[str, object]:
    result = CliRunner().invoke(app, [*words, "--json"], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return dict(json.loads(result.stdout))


def test_paper_calendar_and_plan_agree_on_every_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from icalendar import Calendar

    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    monkeypatch.chdir(tmp_path)
    for day in ("2027-02-13", "2027-02-14"):
        planned = run("plan", "--day", day)["performances"]
        assert isinstance(planned, list)
        starts = [each["starts"] for each in planned]
        names = [each["piece"] for each in planned]
        made = run("notice", "--day", day, "--kind", "bill", "--calendar", f"{day}.ics")
        assert made["performances"] == starts
        assert made["files"] == [f"{day}.ics", f"bill-{day}.pdf"]
        shown = text_of(Path(f"bill-{day}.pdf").read_bytes())
        read = re.findall(r"(\d\d:\d\d) (Frost Bells|The Pear Dance)", shown)
        rows = re.findall(r"\d\d:\d\d", shown)
        assert rows == [start[11:16] for start in starts]
        assert read or len(names) > 0
        calendar = Calendar.from_ical(Path(f"{day}.ics").read_bytes())
        entries = [
            (event.decoded("DTSTART"), event.decoded("DTEND")) for event in calendar.walk("VEVENT")
        ]
        assert entries == [
            (datetime.fromisoformat(each["starts"]), datetime.fromisoformat(each["ends"]))
            for each in planned
        ]
        for kind in ("neighbours", "keeper"):
            run("notice", "--day", day, "--kind", kind)
            sheet = text_of(Path(f"{kind}-{day}.pdf").read_bytes())
            for each in planned:
                starts_at, ends_at = each["starts"][11:16], each["ends"][11:19]
                ends_at = ends_at.removesuffix(":00")
                assert f"{starts_at} {ends_at} {each['piece']}" in sheet, (kind, each)


def test_a_place_that_cannot_be_written_to_is_a_line(tmp_path: Path) -> None:
    from showtime.faces.written import WritingError, write

    with pytest.raises(WritingError, match="a folder; give the name of a file in it"):
        write(tmp_path, b"")
    with pytest.raises(WritingError, match="cannot be written"):
        write(Path("/proc/nowhere/bill.pdf"), b"")
    (tmp_path / "kept.ics").write_bytes(b"old")
    write(tmp_path / "kept.ics", b"new")
    assert [each.name for each in tmp_path.iterdir()] == ["kept.ics"]
