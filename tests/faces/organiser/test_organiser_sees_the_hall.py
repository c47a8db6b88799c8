"""What the organiser is shown of the hall, in words: on the page and on the terminal."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from showtime.faces.organiser import HallLines, HallNode, OrganisedHall
from showtime.fair import ShowtimeError, Span
from showtime.fair.hall import Place
from showtime.fairnet.view import CapUsed, Here, PlanVersion, QuietNow, Sounds

MINUTE = timedelta(minutes=1)


@pytest.fixture
def organiser(obedient):
    return obedient("14:12")


@pytest.fixture
def seen(organiser):
    """The hall as it is shown now."""
    return OrganisedHall(organiser.hall, organiser).sight


def row(sight, name):
    return next(each for each in sight.rows if each.name == name)


def test_a_stall_that_plays_is_told_with_what_and_how_long_still(organiser, seen):
    organiser.plays("The Kettle Choir", minutes=5)
    shown = row(seen(), "The Kettle Choir")
    assert (shown.mark, shown.word) == ("sounding", "sounds")
    assert shown.doing == "Frost Bells, 4 min still, until 14:16"
    assert seen().sounding == ("4 The Kettle Choir: Frost Bells",)
    assert seen().headline == "6 of 6 here, 1 sounds"


def test_a_piece_that_should_have_ended_sounds_no_more(organiser, seen):
    organiser.plays("The Kettle Choir", minutes=1)
    assert seen().sounding == ()
    assert row(seen(), "The Kettle Choir").mark == "waiting"


def test_the_next_start_is_told_and_whether_it_was_promised(organiser, seen):
    assert row(seen(), "The Tin Orchard").next == "Next 14:30 Frost Bells, in 18 min"
    starts = organiser.view().stall("The Tin Orchard").next.span.start
    organiser.at_stall("The Tin Orchard", promised=(starts,))
    assert row(seen(), "The Tin Orchard").next.endswith("in 18 min, promised")


@pytest.mark.parametrize(
    ("seconds", "told"),
    [(30, "less than 1 min"), (60, "1 min"), (61, "2 min"), (3540, "59 min"), (3660, "1 h 01 min")],
)
def test_what_is_left_is_told_in_minutes_that_are_begun(organiser, seen, seconds, told):
    now = organiser.view().now
    span = Span(now - MINUTE, now + timedelta(seconds=seconds))
    organiser.at_stall("The Tin Orchard", stage="playing", playing=Sounds("Frost Bells", span))
    assert row(seen(), "The Tin Orchard").doing.split(", ")[1] == f"{told} still"


def test_a_stall_that_was_cut_off_may_still_sound(organiser, seen):
    organiser.plays("The Tin Orchard")
    organiser.at_stall("The Tin Orchard", here=Here.GONE)
    shown = row(seen(), "The Tin Orchard")
    assert shown.mark == "gone"
    assert shown.doing == "Last heard of at 14:12:00; it may sound until 14:16 (Frost Bells)"
    assert seen().absent == ("The Tin Orchard",)


def test_a_stall_that_was_never_heard_is_not_called_gone(organiser, seen):
    organiser.at_stall("The Tin Orchard", here=Here.NEVER_SEEN, last_heard=None, stage="")
    shown = row(seen(), "The Tin Orchard")
    assert (shown.word, shown.doing) == ("not here", "Nothing was heard of it yet")
    assert shown.follows == ""


def test_before_the_fair_opens_nobody_is_missed(obedient):
    early = obedient("09:30")
    early.at_stall("The Tin Orchard", here=Here.NEVER_SEEN)
    assert OrganisedHall(early.hall, early).sight().absent == ()


@pytest.mark.parametrize(
    ("follows", "told"),
    [
        (PlanVersion(1, "the desk"), "Goes by the fair's plan"),
        (
            PlanVersion(1802513100000, "the gate"),
            "Goes by another plan, that of 10:05:00 from the gate",
        ),
        (None, "Goes by a plan of its own"),
    ],
)
def test_which_plan_a_stall_goes_by_is_told(organiser, seen, follows, told):
    organiser.at_stall("The Tin Orchard", follows=follows)
    assert row(seen(), "The Tin Orchard").follows == told


@pytest.mark.parametrize(
    ("apart", "told"),
    [(34.2, "its clock is 34 s ahead"), (-240.0, "its clock is 4 min behind"), (19.9, None)],
)
def test_clocks_that_are_apart_are_told(organiser, seen, apart, told):
    organiser.at_stall("The Tin Orchard", clock_apart=apart)
    wanted = (f"The Tin Orchard: {told}",) if told else ()
    assert seen().troubles == wanted


def test_neighbours_that_sound_together_are_named_with_the_rule(organiser, seen):
    organiser.plays("The Tin Orchard")
    organiser.plays("The Lantern Cart")
    assert seen().troubles == (
        "The Tin Orchard and The Lantern Cart sound at once; "
        "neighbours: at most 1 stall sounds at once within 4 m",
    )
    organiser.at_stall("The Lantern Cart", playing=None, stage="waiting")
    organiser.plays("The Paper Menagerie")
    assert seen().troubles == (), "these two stand too far apart to matter"


def test_how_many_sound_in_the_whole_hall_is_a_bar(organiser, seen):
    for name in ("The Tin Orchard", "The Paper Menagerie", "The Marble Aviary"):
        organiser.plays(name)
    (bar,) = seen().meters
    assert (bar.percent, bar.shown, bar.over) == (100, "3 of 3 sound now", False)
    organiser.plays("The Kettle Choir")
    assert seen().meters[0].over


def test_the_fullest_cap_comes_first_and_one_that_is_broken_is_a_trouble(organiser, seen):
    caps = (
        CapUsed("fair rule", 2, 4, "2 performances"),
        CapUsed("reading corner", 13, 12, "13.0 min of sound"),
    )
    organiser.at_stall("The Tin Orchard", caps=caps)
    shown = row(seen(), "The Tin Orchard")
    assert [(bar.rule, bar.percent) for bar in shown.fullest] == [("reading corner", 108)]
    assert [bar.rule for bar in shown.others] == ["fair rule"]
    over = "The Tin Orchard: over a cap: 13.0 min of sound now; reading corner"
    assert seen().troubles == (over,)


def test_who_sounds_in_the_quiet_is_told_once_it_had_time_to_fall_silent(organiser, seen):
    organiser.plays("The Tin Orchard")
    organiser.quiet(10, "a speech")
    assert seen().troubles == ()
    organiser.show(now=organiser.view().now + timedelta(seconds=6))
    assert seen().troubles == ("The Tin Orchard sounds in the quiet",)


def test_a_quiet_counts_as_known_only_by_stalls_that_said_so(organiser, seen):
    organiser.quiet(10, "a speech")
    (hush,) = seen().hushes
    assert (hush.confirmed, hush.percent) == ("0 of 6 stalls have it", 0)
    organiser.confirm("The Tin Orchard", "The Lantern Cart")
    organiser.at_stall("The Kettle Choir", here=Here.GONE)
    (hush,) = seen().hushes
    assert hush.confirmed == "2 of 6 stalls have it"
    assert hush.away == ("The Kettle Choir",)
    assert hush.missing == ("The Paper Menagerie", "The Weather Cabinet", "The Marble Aviary")
    organiser.confirm()
    assert seen().hushes[0].confirmed == "All 6 stalls have it"
    assert seen().hushes[0].missing == ()


def test_whose_day_has_ended_need_not_be_asked_for_quiet(organiser, seen):
    organiser.at_stall("The Tin Orchard", stage="ended", here=Here.GONE)
    organiser.quiet(10, "a speech")
    assert seen().hushes[0].of == 5


def test_a_lifted_quiet_is_shown_until_every_stall_knows(organiser, seen):
    call = organiser.quiet(10, "a speech")
    organiser.confirm()
    organiser.lift(call)
    (hush,) = seen().hushes
    assert (hush.lifted, hush.confirmed) == (True, "0 of 6 stalls know that it is over")
    organiser.confirm()
    assert seen().hushes == ()


def test_a_quiet_to_come_is_told_as_such_and_the_longest_first(organiser, seen):
    now = organiser.view().now
    later = QuietNow("b", "a parade", Span(now + 20 * MINUTE, now + 40 * MINUTE), "other desk")
    organiser.quiet(10, "a speech")
    organiser.show(quiet=(*organiser.view().quiet, later))
    parade, speech = seen().hushes
    assert (parade.until, parade.left) == ("14:52", "From 14:32, in 20 min")
    assert (speech.until, speech.left) == ("14:22", "10 min left")


def test_a_longer_quiet_takes_the_place_of_a_shorter_one_and_never_the_other_way(organiser):
    hall = OrganisedHall(organiser.hall, organiser)
    hall.quiet(10, "a speech")
    hall.quiet(30, "an accident")
    assert [hush.why for hush in hall.sight().hushes] == ["an accident"]
    hall.quiet(5, "music")
    assert [hush.why for hush in hall.sight().hushes] == ["an accident", "music"]


def test_the_drawing_has_every_stall_where_it_stands(organiser, seen):
    drawn = {spot.name: (spot.x, spot.y) for spot in seen().floor.spots}
    orchard, cart, choir = (
        drawn[name] for name in ("The Tin Orchard", "The Lantern Cart", "The Kettle Choir")
    )
    assert orchard[1] == cart[1] > choir[1], "up in the hall is up on the drawing"
    assert orchard[0] == choir[0] < cart[0]
    assert len(seen().floor.ties) == 7, "of two rows of three: four beside, three behind each other"


@pytest.mark.parametrize("places", [[(0, 0)], [(0, 0), (0, 0)], [(0, 0), (500, 0)]])
def test_odd_halls_are_drawn_too(obedient, hall_named, places):
    hall = hall_named(("One", "Two")[: len(places)])
    odd = replace(hall, places=tuple(Place(*each) for each in places))
    floor = OrganisedHall(odd, obedient(hall=odd)).sight().floor
    assert floor.across >= 2
    assert floor.down >= 2
    assert all(0 < spot.x < floor.across and 0 < spot.y < floor.down for spot in floor.spots)


@pytest.fixture
def terminal(organiser):
    """What the terminal gets as the hall changes."""
    written = []
    lines = HallLines(written.append)
    shown = OrganisedHall(organiser.hall, organiser)

    def looks():
        written.clear()
        lines.show(shown.sight(), shown.time_of_day())
        return list(written)

    looks()
    return looks


def test_the_terminal_has_a_line_for_whatever_is_new_and_none_for_the_rest(organiser, terminal):
    assert terminal() == []
    organiser.plays("The Tin Orchard")
    assert terminal() == ["14:12:00  The Tin Orchard: Frost Bells, 4 min still, until 14:16"]
    organiser.show(now=organiser.view().now + MINUTE)
    assert terminal() == [], "that it goes on is no news"
    organiser.at_stall("The Tin Orchard", playing=None, stage="waiting")
    assert terminal() == ["14:13:00  The Tin Orchard: silent. Next 14:30 Frost Bells, in 17 min"]


def test_the_terminal_tells_what_goes_wrong_and_when_it_is_mended(organiser, terminal):
    organiser.show(trouble="the broker at 127.0.0.1:1883 does not answer")
    organiser.at_stall("The Lantern Cart", here=Here.GONE)
    assert terminal() == [
        "14:12:00  The Lantern Cart: gone. Last heard of at 14:12:00; "
        "it goes on by the last plan that it has",
        "14:12:00  ! the broker at 127.0.0.1:1883 does not answer",
    ]
    organiser.show(trouble="")
    organiser.at_stall("The Lantern Cart", here=Here.PRESENT)
    assert terminal() == [
        "14:12:00  The Lantern Cart: here, silent. Next 14:35 Frost Bells, in 23 min",
        "14:12:00  no longer: the broker at 127.0.0.1:1883 does not answer",
    ]


def test_the_terminal_tells_of_quiet_from_its_call_to_its_end(organiser, terminal):
    call = organiser.quiet(10, "a speech")
    organiser.confirm("The Tin Orchard")
    first = terminal()
    assert first[0] == "14:12:00  QUIET until 14:22: a speech"
    assert first[1].startswith("14:12:00  1 of 6 stalls have it; not yet: The Lantern Cart, ")
    organiser.confirm()
    assert terminal() == ["14:12:00  All 6 stalls have it"]
    organiser.lift(call)
    over, known = terminal()
    assert over == "14:12:00  The quiet is over: a speech"
    assert known == "14:12:00  0 of 6 stalls know that it is over"
    organiser.confirm()
    assert terminal() == ["14:12:00  All stalls know that the quiet is over"]


def test_what_other_machines_say_does_nothing_to_the_terminal(organiser, terminal):
    organiser.at_stall("The Tin Orchard", trouble="\x1b[2J\x07jam")
    (line,) = terminal()
    assert line.isprintable()
    assert line.endswith("jam")


class StillClock:
    """Time does not pass, and waiting takes none."""

    def wait(self, stop, seconds):
        return stop.is_set()

    def look(self):
        return None


@pytest.fixture
def node(organiser):
    return HallNode(OrganisedHall(organiser.hall, organiser), StillClock())


def test_an_order_for_quiet_is_answered_with_who_has_it(organiser, node):
    said = node.tell(["quiet", "15", "a", "speech"])
    assert organiser.calls == [(15, "a speech")]
    assert said == "Quiet until 14:27 (a speech). 0 of 6 stalls have it."
    organiser.confirm()
    assert "All 6 stalls have it" in node.tell(["status"])
    assert node.tell(["lift"]) == "The quiet is lifted."
    assert node.tell(["lift"]) == "There is no quiet to lift."


@pytest.mark.parametrize(
    "words",
    [[], ["dance"], ["quiet"], ["quiet", "0"], ["quiet", "-5"], ["quiet", "1e3"], ["quiet", "241"],
     ["quiet", "١٠x"], ["quiet", "10", "x" * 81], ["lift", "all"], ["status", "yaml"]],
)  # fmt: skip
def test_an_order_that_means_nothing_is_refused_and_does_nothing(organiser, node, words):
    with pytest.raises(ShowtimeError):
        node.tell(words)
    assert organiser.calls == []


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ("cap 2 60", "asked for by the organiser: at most 2 performances in any 60 min"),
        ("CAP sound 10 45 the judges", "the judges: at most 10 min of sound in any 45 min"),
    ],
)
def test_a_cap_for_the_rest_of_the_day_is_set_for_all_and_told(organiser, node, words, why):
    assert why in node.tell(words.split())
    assert [[cap.why for cap in caps] for caps in organiser.capped] == [[why]]


def test_caps_of_the_day_are_lifted(organiser, node):
    assert "lifted" in node.tell(["cap", "off"])
    assert organiser.capped == [()]


@pytest.mark.parametrize(
    "words",
    ["cap", "cap 2", "cap sound", "cap sound 5", "cap 0 60", "cap 2 0", "cap two 60", "cap 2 1441",
     "cap ٢ 60", "cap -1 60", "cap sound off"],
)  # fmt: skip
def test_a_cap_that_means_nothing_is_refused_and_sets_nothing(organiser, node, words):
    with pytest.raises(ShowtimeError, match="such as: cap 2 60"):
        node.tell(words.split())
    assert organiser.capped == []


def test_one_key_is_ten_minutes_of_quiet_and_another_lifts_it(organiser, node):
    node.key("x")
    assert organiser.calls == []
    node.key("c")
    assert organiser.calls == [(10, "the organiser asks for quiet")]
    node.key("l")
    assert organiser.view().quiet == ()


def test_the_document_has_everything_with_its_offset(organiser):
    organiser.plays("The Tin Orchard")
    organiser.quiet(10, "a speech")
    organiser.confirm("The Tin Orchard")
    body = OrganisedHall(organiser.hall, organiser).status()
    assert body["now"] == "2027-02-13T14:12:00+00:00"
    assert body["stalls"][0]["playing"]["ends"] == "2027-02-13T14:16:00+00:00"
    assert body["quiet"][0]["kept_by"] == ["The Tin Orchard"]
    assert datetime.fromisoformat(body["quiet"][0]["until"]).astimezone(UTC).hour == 14
