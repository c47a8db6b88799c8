"""What a stall inherits from its fair, and where the two must agree."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from showtime.fair import budgets
from showtime.settings import SettingsError, load_stall

STALL = """\
stall: The Tin Orchard
figure: Barnaby Rook
organiser: fair.yaml
pieces: [{name: Frost Bells, lasts: 4 min, level: 74 dBA}]
"""
FAIR = """\
fair: Osierholt Curiosity Fair
timezone: Europe/London
days:
  - {date: 2027-02-13, opens: 10:00, closes: 17:00}
  - {date: 2027-02-14, opens: 10:00, closes: 16:00}
quiet:
  - {why: opening speech, from: 10:00, until: 10:10, days: [2027-02-13]}
caps:
  - {why: fair rule, performances: 4, in_any: 60 min}
together:
  - {stalls: 1, within: 6 m}
  - {stalls: 4}
stalls:
  - {file: stall.yaml, place: {x: 0 m, y: 1.5 m}}
  - stall: The Paper Menagerie
    figure: Quill
    pieces: [{name: The Fold, lasts: 3 min}]
    place: {x: -4 m, y: 0 m}
"""


def told(desk: Any, stall: str = STALL, fair: str = FAIR) -> list[str]:
    desk.lay("fair.yaml", fair)
    error = desk.complaints(stall)
    assert [problem.where for problem in error.problems] == desk.marks, str(error)
    return [problem.message for problem in error.problems]


def test_a_stall_may_leave_nearly_everything_to_its_fair(desk: Any) -> None:
    desk.lay("fair.yaml", FAIR)
    stall = desk.stall(STALL)
    assert stall.signboard.fair == "Osierholt Curiosity Fair"
    assert stall.signboard.timezone.key == "Europe/London"
    assert [str(day.date) for day in stall.days] == ["2027-02-13", "2027-02-14"]
    assert [one.why for one in stall.days[0].quiet] == ["opening speech"]
    assert stall.days[1].quiet == ()
    assert stall.days[0].budgets == (
        budgets.Performances(4, stall.days[0].hours.length / 7, because="fair rule"),
    )


def test_what_is_inherited_knows_the_organisers_file(desk: Any) -> None:
    path = desk.lay("fair.yaml", FAIR)
    day = desk.stall(STALL).days[0]
    assert {one.where.file for one in (day, *day.quiet, *day.budgets)} == {str(path)}


def test_its_own_days_names_and_rules_come_first(desk: Any) -> None:
    desk.lay("fair.yaml", FAIR)
    own = STALL + (
        "fair: Little Fair\ndays: [{date: 2027-02-14, opens: 11:00, closes: 15:00}]\n"
        "quiet: [{why: lunch, from: 12:00, until: 12:30}]\n"
        "caps: [{performances: 9, in_any: day}]\n"
    )
    stall = desk.stall(own)
    assert stall.signboard.fair == "Little Fair"
    (day,) = stall.days
    assert [one.why for one in day.quiet] == ["lunch"], "the speech is on the other day"
    assert [budget.limit for budget in day.budgets] == [9, 4]


def test_a_stall_is_open_only_while_its_fair_is(desk: Any) -> None:
    own = STALL + (
        "days:\n  - {date: 2027-02-13, opens: ▸9:30, closes: 17:00}\n"
        "  - {date: 2027-02-14, opens: 10:00, closes: ▸17:00}\n"
        "  - {date: ▸2027-02-15, opens: 10:00, closes: 11:00}\n"
    )
    assert told(desk, own) == [
        "on 2027-02-13 the stall opens outside the fair's hours; they are 10:00 to 17:00",
        "on 2027-02-14 the stall closes outside the fair's hours; they are 10:00 to 16:00",
        "the fair is not open on 2027-02-15; its days are 2027-02-13, 2027-02-14",
    ]


def test_a_fairs_calendar_lies_beside_the_fairs_file(desk: Any) -> None:
    (desk.folder / "office").mkdir()
    desk.lay(
        "office/talks.ics",
        "BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:1\nDTSTART:20270213T120000\nDURATION:PT1H\n"
        "END:VEVENT\nEND:VCALENDAR\n",
    )
    desk.lay("office/fair.yaml", FAIR.replace(
        "quiet:\n", "quiet:\n  - {why: talks, calendar: talks.ics}\n"))  # fmt: skip
    stall = desk.stall(STALL.replace("fair.yaml", "office/fair.yaml"))
    assert [one.why for one in stall.days[0].quiet] == ["opening speech", "talks"]


def test_a_fair_may_limit_the_noise_at_a_neighbour_of_the_stall(desk: Any) -> None:
    cap = "caps:\n  - {level: 60 dBA, at: ▸The Lantern Cart, in_any: 60 min}\n"
    fair = FAIR.replace("caps:\n", cap)
    assert told(desk, fair=fair) == [
        "'The Lantern Cart' is not among the neighbours of The Tin Orchard;"
        " add it there with its distance"
    ]
    desk.lay("fair.yaml", fair)
    stall = desk.stall(STALL + "neighbours: [{name: The Lantern Cart, distance: 3 m}]\n")
    assert [one.rule for one in stall.days[0].budgets] == ["level", "performances"]


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("within: 6 m", "within: ▸6", "has no unit; a distance is given in m"),
        ("{stalls: 4}", "{stalls: ▸0}", "from 1 to 2000"),
        ("{x: 0 m, y: 1.5 m}", "▸{x: 0 m}", "'y' is missing"),
        ("days: [2027-02-13]", "days: [▸2027-02-15]", "its days are 2027-02-13, 2027-02-14"),
        ("until: 10:10", "until: ▸9:10", "not after it starts"),
        ("{file: stall.yaml, place", "{▸fyle: stall.yaml, place", "did you mean 'file'"),
        ("lasts: 3 min", "lasts: ▸0 min", "no length of time above nothing"),
        ("together:", "▸togther:", "did you mean 'together'"),
        ("Europe/London", "▸London", "no time zone known here"),
        ("timezone: Europe/London", "▸organiser: fair.yaml", "there is no key 'organiser' here"),
    ],
)
def test_slips_in_the_fairs_file_are_told_with_its_name(
    desk: Any, old: str, new: str, said: str
) -> None:
    assert FAIR.count(old) == 1
    stall = STALL + "timezone: Europe/London\n"
    messages = told(desk, stall, FAIR.replace(old, new))
    assert said in messages[0]


def test_problems_of_all_files_are_told_together(desk: Any) -> None:
    desk.lay("talks.ics", "BEGIN:VCALENDAR\n▸BEGIN:VEVENT\nEND:VEVENT\nEND:VCALENDAR\n")
    (calendar,) = desk.marks
    fair = desk.lay("fair.yaml", FAIR.replace("opens: 10:00, closes: 16:00", "opens: 10:00"))
    own = STALL + "gap: 6\nquiet: [{why: talks, calendar: talks.ics}]\nvoise: {name: en}\n"
    error = desk.complaints(own)
    own_file = str(desk.folder / "stall.yaml")
    assert [(p.where.file, p.where.line) for p in error.problems] == [
        (own_file, 5), (own_file, 7), (str(fair), 5), (calendar.file, 2),
    ]  # fmt: skip
    assert error.files == (own_file, str(fair), calendar.file)


def test_the_file_of_a_fair_given_for_that_of_a_stall(desk: Any) -> None:
    fair = desk.lay("fair.yaml", FAIR)
    with pytest.raises(SettingsError, match="1:1: this is a fair's file, not a stall's; give"):
        load_stall(fair)


def test_the_file_of_a_stall_given_for_that_of_a_fair(desk: Any) -> None:
    own = desk.changed(
        ("timezone: Europe/London", "timezone: Europe/London\norganiser: other.yaml")
    )
    desk.lay("other.yaml", desk.changed())
    with pytest.raises(SettingsError, match=r"other\.yaml:1:1: these are a stall's settings"):
        desk.stall(own)


@pytest.mark.parametrize("name", ["stall.yaml", "./stall.yaml", "../desk/stall.yaml"])
def test_a_stall_that_is_its_own_organiser(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "desk"
    folder.mkdir()
    path = folder / "stall.yaml"
    path.write_text(STALL.replace("fair.yaml", name))
    with pytest.raises(SettingsError, match="3:12: this names the stall's own file; name the fair"):
        load_stall(path)


def test_nothing_is_missed_that_an_unreadable_fair_may_give(desk: Any) -> None:
    error = desk.complaints(STALL.replace("fair.yaml", "▸gone.yaml"))
    assert [problem.where for problem in error.problems] == desk.marks
    assert "there is no file" in str(error)


def test_a_stall_and_its_fair_keep_one_time(desk: Any) -> None:
    assert told(desk, STALL + "timezone: ▸Europe/Paris\n") == [
        "the fair keeps the time of Europe/London; write that, or leave it out"
    ]


def test_what_neither_file_gives_is_missed(desk: Any) -> None:
    error = desk.complaints("▸" + STALL.replace("organiser: fair.yaml\n", ""))
    assert {problem.where for problem in error.problems} == set(desk.marks)
    missed = sorted(problem.message.split("'")[1] for problem in error.problems)
    assert missed == ["days", "fair", "timezone"]
