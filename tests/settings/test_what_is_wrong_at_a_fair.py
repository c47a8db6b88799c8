"""Each thing that can be wrong at a fair is told where it stands, in the right file, at once."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest

from showtime.settings import SettingsError, load_fair

CART = """\
stall: The Lantern Cart
figure: Wick
pieces: [{name: Small Lights, lasts: 4 min, level: 66 dBA}]
"""


def test_two_stalls_of_one_name(desk: Any) -> None:
    assert desk.fair_told(
        desk.changed_fair(("stall: The Paper Menagerie", "stall: ▸The Tin Orchard"),
                          ("stalls: [The Paper Menagerie]", "stalls: [The Tin Orchard]"))
    ) == [
        f"'The Tin Orchard' is the name of another stall too, at {desk.folder}/orchard.yaml:1:8;"
        " rename one"
    ]  # fmt: skip


def test_two_stalls_in_one_place(desk: Any) -> None:
    assert desk.fair_told(
        desk.changed_fair(("place: {x: 3 m, y: 4 m}", "place: ▸{x: 300 cm, y: 0.0 m}"))
    ) == [
        f"The Lantern Cart stands in this very place too, at {desk.folder}/fair.yaml:20:12;"
        " move one"
    ]


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ([("  - {file: orchard.yaml, place: {x: 0 m, y: 0 m}}", "  - ▸{file: orchard.yaml}")],
         "'place' is missing; add place: {x: 0 m, y: 4.5 m}"),
        ([("stall: The Lantern Cart\n    figure: Wick\n    place: {x: 3 m, y: 0 m}",
           "▸stall: The Lantern Cart\n    figure: Wick")],
         "'place' is missing; add place: {x: 0 m, y: 4.5 m}"),
        ([("place: {x: 3 m, y: 0 m}", "place: {x: ▸3, y: 0 m}")],
         "3 has no unit; a place in the hall is given in m, such as 4.5 m"),
        ([("place: {x: 3 m, y: 0 m}", "place: ▸[3 m, 0 m]")],
         "a group of keys belongs here; write {x: 0 m, y: 4.5 m}"),
        ([("stalls: [The Paper Menagerie]", "stalls: [▸The Paper Menagery]")],
         "the fair has no stall 'The Paper Menagery'; did you mean 'The Paper Menagerie'?"),
        ([("stalls: [The Lantern Cart]", "stalls: [The Lantern Cart, ▸Nobody]")],
         "the fair has no stall 'Nobody'; write one as its settings name it"),
        ([("stalls: [The Paper Menagerie]", "stalls: ▸[]")],
         "this list is empty; write [The Tin Orchard]"),
        ([("stalls: [The Paper Menagerie]", "stalls: ▸The Paper Menagerie")],
         "a list belongs here"),
        ([("stalls: [The Paper Menagerie]", "stalls: [The Paper Menagerie, ▸The Paper Menagerie]")],
         "is here twice"),
        ([("{stalls: 2}", "{stalls: ▸0}")],
         "0 is out of range; write a whole number from 1 to 2000, such as 1"),
        ([("within: 4 m", "within: ▸0 m")], "out of range; a distance is above 0"),
        ([("{stalls: 2}", "▸{within: 2 m}")], "'stalls' is missing; add stalls: 1"),
        ([("level: 62 dBA", "level: ▸62")], "62 has no unit; a sound level is given in dBA"),
        ([("{why: stories are told, level: 62 dBA, in_any: 60 min", "▸{level: 62 dBA")],
         "'in_any' is missing"),
        ([("pieces: [{name: Small Lights, lasts: 4 min, level: 66 dBA}]",
           "pieces: [▸{name: Small Lights, lasts: 4 min}]")],
         "'Small Lights' has no level, and the fair limits the noise, at "),
        ([("noise:", "▸nois:")], "there is no key 'nois' here; did you mean 'noise'?"),
        ([("stall: The Lantern Cart", "▸stal: The Lantern Cart"),
          ("stalls: [The Lantern Cart]", "stalls: [The Tin Orchard]")],
         "there is no key 'stal' here; did you mean 'stall'?"),
        ([("stall: The Paper Menagerie\n", "▸stall: The Paper Menagerie\n    file: paper.yaml\n")],
         "'file' and 'stall' stand here both; leave out 'file', or all but it and 'place'"),
        ([("timezone: Europe/London\n", ""), ("fair: Osier", "▸fair: Osier")],
         "'timezone' is missing; add timezone: Europe/London"),
    ],
)  # fmt: skip
def test_slips_are_told_where_they_stand(
    desk: Any, changes: list[tuple[str, str]], said: str
) -> None:
    text = desk.changed_fair(*changes)
    error = desk.fair_complaints(text)
    assert error.problems[0].where in desk.marks, str(error)
    assert said in str(error)


def test_a_file_that_is_a_stalls_given_twice(desk: Any) -> None:
    first = "  - {file: orchard.yaml, place: {x: 0 m, y: 0 m}}\n"
    second = "  - {file: ▸./orchard.yaml, place: {x: 9 m, y: 0 m}}\n"
    assert desk.fair_told(desk.changed_fair((first, first + second))) == [
        "this file is here twice, first on line 17; keep one"
    ]


def test_by_another_name_it_is_the_same_file(desk: Any, tmp_path: Path) -> None:
    os.symlink(tmp_path / "orchard.yaml", tmp_path / "other.yaml")
    first = "  - {file: orchard.yaml, place: {x: 0 m, y: 0 m}}\n"
    second = "  - {file: ▸other.yaml, place: {x: 9 m, y: 0 m}}\n"
    assert desk.fair_told(desk.changed_fair((first, first + second))) == [
        "this file is here twice, first on line 17; keep one"
    ]


def test_the_fairs_own_file_among_its_stalls(desk: Any) -> None:
    assert desk.fair_told(desk.changed_fair(("file: orchard.yaml", "file: ▸fair.yaml"))) == [
        "this is the fair's own file; name a stall's, or write its settings here"
    ]


def test_another_fairs_file_among_its_stalls(desk: Any, small_fair: str) -> None:
    desk.lay("other.yaml", small_fair.replace("fair: Osier", "▸fair: Osier"))
    told = desk.fair_told(desk.changed_fair(("file: orchard.yaml", "file: other.yaml")))
    assert told == ["this is a fair's file, not a stall's; give the settings of one of its stalls"]


def test_a_file_that_is_not_there(desk: Any) -> None:
    (told,) = desk.fair_told(desk.changed_fair(("file: orchard.yaml", "file: ▸gone.yaml")))
    assert told.startswith("there is no file")


def test_a_stalls_file_given_for_the_fairs(desk: Any, tmp_path: Path) -> None:
    path = desk.lay("stall.yaml", CART)
    with pytest.raises(
        SettingsError, match="1:1: these are a stall's settings, not a fair's; name"
    ):
        load_fair(path)


def test_a_stall_of_another_fair(desk: Any, orchard: str) -> None:
    desk.lay("other.yaml", "fair: Another\n")
    assert desk.fair_told(orchard=orchard.replace("organiser: ", "organiser: ▸other-")) == [
        f"this names another fair's file than {desk.folder}/fair.yaml, in which the stall is"
        " listed; name that one, or leave it out"
    ]


def test_a_stall_in_place_of_another_fair(desk: Any) -> None:
    here = "    figure: Quill\n    organiser: fair.yaml\n"
    assert len(desk.fair(desk.changed_fair(("    figure: Quill\n", here))).stands) == 3
    there = here.replace("fair.yaml", "▸other.yaml")
    (told,) = desk.fair_told(desk.changed_fair(("    figure: Quill\n", there)))
    assert told.startswith("this names another fair's file")


def test_a_stall_may_reach_its_fair_by_another_way(desk: Any, orchard: str) -> None:
    around = f"organiser: ../{desk.folder.name}/./fair.yaml"
    assert len(desk.fair(orchard=orchard.replace("organiser: fair.yaml", around)).stands) == 3


def test_a_stall_that_keeps_another_time(desk: Any, orchard: str) -> None:
    assert desk.fair_told(orchard=orchard + "timezone: ▸Europe/Paris\n") == [
        "the fair keeps the time of Europe/London; write that, or leave it out"
    ]


def test_a_stall_that_is_open_when_its_fair_is_not(desk: Any, orchard: str) -> None:
    own = orchard + "days: [{date: ▸2027-02-20, opens: 10:00, closes: 12:00}]\n"
    assert desk.fair_told(orchard=own) == [
        "the fair is not open on 2027-02-20; its days are 2027-02-13, 2027-02-14"
    ]


def test_a_cap_at_a_neighbour_that_some_stalls_do_not_know(desk: Any, orchard: str) -> None:
    cap = "caps:\n  - {level: 60 dBA, at: ▸The Lantern Cart, in_any: 60 min}\n"
    knows = orchard + "neighbours: [{name: The Lantern Cart, distance: 3 m}]\n"
    assert desk.fair_told(desk.changed_fair(("caps:\n", cap)), knows) == [
        "'The Lantern Cart' is not among the neighbours of The Paper Menagerie;"
        " add it there: {name: The Lantern Cart, distance: 4 m}"
    ]


def test_a_cap_at_somebody_who_has_no_stall(desk: Any) -> None:
    cap = "caps:\n  - {level: 60 dBA, at: ▸the chapel, in_any: day, stalls: [The Tin Orchard]}\n"
    assert desk.fair_told(desk.changed_fair(("caps:\n", cap))) == [
        "'the chapel' is not among the neighbours of The Tin Orchard;"
        " add it there with its distance"
    ]


def test_names_that_only_look_different(desk: Any) -> None:
    told = desk.fair_told(
        desk.changed_fair(("stall: The Paper Menagerie", "stall: ▸the Tin  orchard"),
                          ("[The Paper Menagerie]", "[The Tin Orchard]"))
    )  # fmt: skip
    assert told[0].startswith("'The Tin Orchard' is the name of another stall too")


def test_stalls_that_the_broker_could_not_tell_apart(desk: Any, orchard: str) -> None:
    line = "fairnet: {broker: 10.0.0.1, user: ▸tin-orchard}\n"
    own = orchard + line.replace("▸", "")
    text = desk.changed_fair(("    figure: Quill\n", f"    figure: Quill\n    {line}"))
    assert desk.fair_told(text, own) == [
        f"the broker knows The Tin Orchard by this name, at {desk.folder}/orchard.yaml:5:35;"
        " give each stall its own, or one could speak for another"
    ]


@pytest.mark.parametrize("key", ["timezone", "days", "stalls"])
def test_what_a_whole_fair_needs_is_missed_once(desk: Any, small_fair: str, key: str) -> None:
    start = small_fair.index(f"\n{key}:") + 1
    others = [small_fair.find(f"\n{word}", start) for word in ("days:", "quiet:")]
    end = min((at + 1 for at in others if at > 0), default=len(small_fair))
    error = desk.fair_complaints(small_fair[:start] + small_fair[end:])
    missed = [one for one in error.problems if one.message.startswith(f"'{key}' is missing; add")]
    assert [(one.where.line, one.where.column) for one in missed] == [(1, 1)]
    assert not [one for one in error.problems if "with an organiser" in one.message]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("timezone: Europe/London", "timezone: ▸Europe/Londn"),
        ("  - {date: 2027-02-13, opens: 10:00", "  - {date: 2027-02-13, opens: ▸soon"),
        ("stalls:\n  - {file: orchard.yaml, place: {x: 0 m, y: 0 m}}",
         "stalls:\n  - ▸orchard.yaml"),
    ],
)  # fmt: skip
def test_what_is_there_but_wrong_is_not_missed_nor_made_others_fault(
    desk: Any, old: str, new: str
) -> None:
    """A stall may well be open on the day of the fair that cannot be read."""
    desk.fair_told(desk.changed_fair((old, new)))


def test_a_fair_of_nothing_but_a_name(desk: Any) -> None:
    told = desk.fair_told("▸▸▸fair: Osierholt\n")
    assert [one.split(";")[0] for one in told] == [
        "'timezone' is missing", "'days' is missing", "'stalls' is missing",
    ]  # fmt: skip


def test_when_one_stalls_file_is_broken_the_others_are_still_looked_at(
    desk: Any, orchard: str
) -> None:
    desk.lay("hut.yaml", CART.replace("Lantern Cart", "Hut").replace("lasts: 4 min", "lasts: ▸4"))
    hut = "stalls:\n  - {file: hut.yaml, place: {x: 6 m, y: 6 m}}\n"
    text = desk.changed_fair(("stalls:\n  -", f"{hut}  -"), ("lasts: 3 min", "lasts: ▸3"))
    told = desk.fair_told(text, orchard + "keep_within: ▸6\ngap: ▸[1 min\n")
    assert [message.split(";")[0].split(" belongs")[0] for message in told] == [
        "3 has no unit", "4 has no unit", "6 has no unit",
        "this is never closed",
    ]  # fmt: skip


def test_no_name_is_called_unknown_while_some_stalls_are_not_known(desk: Any) -> None:
    """The file that cannot be read may well hold the stall that a rule is for."""
    changes = (("stalls: [The Lantern Cart]", "stalls: [The Tin Orchard]"),)
    error = desk.fair_complaints(desk.changed_fair(*changes), "stall: [The Tin Orchard\n")
    assert not [one for one in error.problems if "the fair has no stall" in one.message]


def test_nor_while_a_fault_has_taken_some_of_them_away(desk: Any) -> None:
    told = desk.fair_told(desk.changed_fair(("  - stall: The Lantern", "    ▸stall: The Lantern")))
    assert told[0].startswith("a list goes on here without '-'") and len(told) == 1


def test_problems_of_stalls_do_not_hide_those_between_them(desk: Any, orchard: str) -> None:
    own = orchard.replace("lasts: 4 min", "lasts: ▸4 parsecs")
    text = desk.changed_fair(("place: {x: 3 m, y: 4 m}", "place: ▸{x: 3 m, y: 0 m}"))
    told = desk.fair_told(text, own)
    assert len(told) == 2


def test_a_calendar_of_a_stall_is_told_with_the_rest(desk: Any, orchard: str) -> None:
    desk.lay("talks.ics", "BEGIN:VCALENDAR\n▸BEGIN:VEVENT\nEND:VEVENT\nEND:VCALENDAR\n")
    text = desk.changed_fair(("{stalls: 2}", "{stalls: ▸two}"))
    assert len(desk.fair_told(text, orchard + "quiet: [{why: talks, calendar: talks.ics}]\n")) == 2
