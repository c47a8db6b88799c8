"""Who may sound when two stalls want one time, told as it happens at the fair."""

from datetime import UTC, datetime, timedelta

import pytest

from showtime.fair import Span
from showtime.fairnet.accord import Accord
from showtime.fairnet.claims import Answer, Bond, Claim, Claims, Rank, Wanted, When
from showtime.fairnet.pace import Pace
from showtime.fairnet.taken import taken
from showtime.live.hall import Leave

NOON = datetime(2027, 2, 13, 12, tzinfo=UTC)
PACE = Pace()


def at(seconds):
    return When(NOON + timedelta(seconds=seconds), seconds)


def span(begins, lasts=60):
    return Span(NOON + timedelta(seconds=begins), NOON + timedelta(seconds=begins + lasts))


class Hall:
    """Stalls whose every word is heard by all at once; `deaf` ones hear and say nothing."""

    def __init__(self, *bonds):
        names = sorted({name for bond in bonds for name in bond.stalls})
        self.stalls = {name: Accord(name, 1, PACE) for name in names}
        self.deaf, self.bonds, self.said = set(), bonds, {}
        for stall in self.stalls.values():
            stall.connected(at(0))
            stall.rules(bonds, at(0))
        self.talk(0)

    def talk(self, now):
        """Until nobody has anything more to say."""
        more = True
        while more:
            more = False
            for name, stall in self.stalls.items():
                if name in self.deaf:
                    continue
                for word in stall.take(at(now)):
                    more = True
                    self.said[name, getattr(word, "to", "")] = word
                    self.pass_on(word, now)

    def pass_on(self, word, now):
        for name, hears in self.stalls.items():
            if name not in self.deaf:
                if isinstance(word, Answer):
                    hears.hear_answer(word, at(now))
                else:
                    hears.hear_claims(word, at(now))

    def wants(self, name, *wanted, now=1.0, playing=None):
        self.stalls[name].follow(wanted, playing, at(now))
        self.talk(now)

    def beat(self, now):
        for stall in self.stalls.values():
            stall.beat()
            stall.tick(at(now))
        self.talk(now)

    def held(self, name):
        return {claim.span for claim in self.stalls[name].own if claim.held}

    def leave(self, name, wanted, now):
        self.stalls[name].leave(wanted, at(now))
        self.talk(now)
        return self.stalls[name].leave(wanted, at(now))


@pytest.fixture
def two():
    return Hall(Bond(1, frozenset({"orchard", "cart"}), "neighbours"))


def test_whoever_asked_first_has_the_time_and_the_other_is_told_who_plays(two):
    two.wants("orchard", Wanted(span(100)), now=1)
    two.wants("cart", Wanted(span(120)), now=2)
    assert two.held("orchard") == {span(100)}
    assert two.held("cart") == set()
    barred = taken(
        two.stalls["cart"].bonds, two.stalls["cart"].given(at(2)), {"orchard": "The Orchard"}
    )
    assert [(each.why, each.span) for each in barred] == [("The Orchard plays", span(100))]
    assert not list(two.stalls["orchard"].given(at(2)))


def test_times_that_only_touch_are_both_had(two):
    two.wants("orchard", Wanted(span(100)))
    two.wants("cart", Wanted(span(160)))
    assert two.held("orchard") and two.held("cart")


def test_what_was_refused_is_had_once_the_other_gives_it_up(two):
    two.wants("orchard", Wanted(span(100)), now=1)
    two.wants("cart", Wanted(span(120)), now=2)
    two.wants("orchard", now=3)
    assert two.held("cart") == {span(120)}


def test_a_start_waits_until_the_one_before_is_said_to_be_over(two):
    two.wants("orchard", Wanted(span(10)))
    two.wants("cart", Wanted(span(70)))
    two.beat(8)
    assert two.leave("orchard", span(10), 10) is Leave.GIVEN
    two.wants("orchard", playing=span(10), now=10)
    two.beat(68)
    assert two.leave("cart", span(70), 70) is Leave.ASKED
    two.wants("orchard", now=71)
    assert two.leave("cart", span(71), 71) is Leave.GIVEN


def test_leave_that_is_not_asked_for_again_is_given_back(two):
    two.beat(5)
    assert two.leave("orchard", span(6), 6) is Leave.GIVEN
    assert two.leave("cart", span(6), 6) is Leave.REFUSED
    two.wants("orchard", now=7)
    for now in (10, 15, 20, 25):
        two.beat(now)
        two.wants("orchard", now=now)
    assert two.leave("cart", span(26), 26) is not Leave.REFUSED


def test_a_promise_makes_an_unpromised_start_give_way_though_that_was_first(two):
    two.wants("orchard", Wanted(span(100)), now=1)
    two.wants("cart", Wanted(span(120), promised=True), now=2)
    assert two.held("orchard") == {span(100)}
    two.beat(2 + PACE.patience)
    assert two.held("cart") == {span(120)}
    assert two.held("orchard") == set()


def test_a_promise_does_not_give_way_to_a_promise(two):
    two.wants("orchard", Wanted(span(100), promised=True), now=1)
    two.wants("cart", Wanted(span(120), promised=True), now=2)
    two.beat(10)
    assert two.held("orchard") == {span(100)}
    assert two.held("cart") == set()


def test_what_sounds_is_not_given_up_for_a_promise(two):
    two.wants("orchard", Wanted(span(6)))
    two.beat(5)
    assert two.leave("orchard", span(6), 6) is Leave.GIVEN
    two.wants("orchard", playing=span(6), now=6)
    two.wants("cart", Wanted(span(20), promised=True), now=7)
    two.beat(15)
    assert two.leave("cart", span(20), 20) is Leave.REFUSED


def test_when_both_ask_at_once_the_plan_goes_before_what_is_new(two):
    orchard, cart = two.stalls["orchard"], two.stalls["cart"]
    orchard.follow([Wanted(span(100))], None, at(1))
    cart.follow([Wanted(span(100), planned=True)], None, at(2))
    two.talk(2)
    assert two.held("cart") == {span(100)}
    assert two.held("orchard") == set()


def test_a_vanished_stall_blocks_nobody_for_longer_than_a_lease(two):
    two.wants("cart", Wanted(span(300)))
    two.deaf.add("cart")
    two.stalls["orchard"].hear_presence("cart", 1, 1, False, at(2))
    two.wants("orchard", Wanted(span(100)), Wanted(span(300)), now=3)
    assert two.held("orchard") == {span(100)}, "what the vanished one held still counts"
    two.beat(3 + PACE.lease)
    assert two.held("orchard") == {span(100), span(300)}


def test_what_a_vanished_stall_was_sounding_counts_to_its_end(two):
    two.wants("cart", Wanted(span(6, 200)))
    two.beat(5)
    assert two.leave("cart", span(6, 200), 6) is Leave.GIVEN
    two.wants("cart", playing=span(6, 200), now=6)
    two.deaf.add("cart")
    two.stalls["orchard"].hear_presence("cart", 1, 1, False, at(10))
    two.beat(100)
    assert two.leave("orchard", span(100), 100) is Leave.REFUSED
    after = 6 + 200 + PACE.patience + PACE.grace + 1
    two.beat(after)
    assert two.leave("orchard", span(after), after) is Leave.GIVEN


def test_what_was_told_as_sounding_serves_nothing_that_ends_after_the_end_that_was_told(two):
    """A keeper plays something short in the time of what is late; then the line breaks."""
    two.wants("cart", Wanted(span(20)), now=1)
    two.wants("orchard", Wanted(span(81)), now=2)
    two.beat(41)
    assert two.leave("cart", span(41, 4), 41) is Leave.GIVEN
    two.wants("cart", Wanted(span(20)), playing=span(41, 4), now=41)
    two.deaf.add("cart")
    cart = two.stalls["cart"]
    cart.follow([Wanted(span(20))], None, at(46))
    assert cart.trusting(at(47))
    assert cart.leave(span(47), at(47)) is Leave.ASKED
    two.stalls["orchard"].hear_presence("cart", 1, 1, False, at(48))
    two.beat(103)
    assert two.leave("orchard", span(103), 103) is Leave.GIVEN, "before 107"


def test_a_start_that_an_outage_made_late_is_kept_and_whoever_comes_next_waits(two):
    """While its promise can still be kept."""
    two.wants("orchard", Wanted(span(20), promised=True), now=1)
    two.wants("cart", Wanted(span(80)), now=2)
    two.beat(79)
    assert two.leave("cart", span(80), 80) is Leave.ASKED
    assert two.leave("orchard", span(79), 79) is Leave.GIVEN
    two.wants("orchard", playing=span(79), now=79)
    assert two.leave("cart", span(85), 85) is Leave.ASKED
    two.wants("orchard", now=139)
    assert two.leave("cart", span(139), 139) is Leave.GIVEN


def test_a_late_start_that_nobody_could_hear_of_is_minded_all_the_same(two):
    """Until its will comes, or a lease is over, it seems to be there."""
    two.wants("orchard", Wanted(span(10, 30)), now=1)
    two.wants("cart", Wanted(span(40)), now=2)
    two.beat(38)
    two.deaf.add("orchard")
    assert two.stalls["orchard"].leave(span(39, 30), at(39)) is Leave.GIVEN
    two.beat(62)
    assert two.leave("cart", span(62), 62) is Leave.ASKED, "the orchard sounds until 69"


def test_cut_off_a_stall_goes_on_with_what_it_had_and_cuts_into_nothing_it_knows_of(two):
    two.wants("cart", Wanted(span(200)))
    two.wants("orchard", Wanted(span(100)))
    two.deaf.add("orchard")
    late = PACE.own_lease + 10
    assert two.stalls["orchard"].leave(span(100), at(100)) is Leave.GIVEN
    assert two.stalls["orchard"].leave(span(late), at(late)) is Leave.GIVEN
    two.stalls["cart"].beat()
    assert two.stalls["orchard"].leave(span(20, 200), at(20)) is Leave.REFUSED


def test_the_first_seconds_without_a_line_it_waits_rather_than_guesses(two):
    two.deaf.add("orchard")
    assert two.stalls["orchard"].leave(span(5), at(5)) is Leave.ASKED
    assert two.stalls["orchard"].leave(span(20), at(20)) is Leave.GIVEN


def test_one_that_comes_back_keeps_its_promise_when_nobody_has_taken_the_time(two):
    two.wants("orchard", Wanted(span(400), promised=True))
    two.deaf.add("orchard")
    two.stalls["cart"].hear_presence("orchard", 1, 1, False, at(5))
    two.wants("cart", Wanted(span(700)), now=50)
    two.deaf.clear()
    orchard = two.stalls["orchard"]
    orchard.connected(at(60))
    for word in two.said.values():
        if isinstance(word, Claims):
            orchard.hear_claims(word, at(60))
    two.beat(61)
    assert two.held("orchard") == {span(400)}
    assert two.held("cart") == {span(700)}


def test_at_most_two_of_four():
    hall = Hall(Bond(2, frozenset("abcd")))
    for number, name in enumerate("abcd"):
        hall.wants(name, Wanted(span(100)), now=1 + number)
    assert [name for name in "abcd" if hall.held(name)] == ["a", "b"]
    barred = taken(
        hall.stalls["c"].bonds, hall.stalls["c"].given(at(5)), {"a": "Anne's", "b": "Bob's"}
    )
    assert [each.why for each in barred] == ["Anne's and Bob's play"]
    assert not taken(hall.stalls["a"].bonds, hall.stalls["a"].given(at(5)), {})


def test_at_most_two_of_three_when_all_are_late_and_none_has_heard_of_the_others():
    """Each has the leave of one of the others, in a ring, and so each sees but one in its way."""
    hall = Hall(Bond(2, frozenset("bde")))
    hall.wants("d", Wanted(span(25, 20)), now=1)
    hall.wants("e", Wanted(span(14, 50)), now=2)
    hall.wants("b", Wanted(span(10, 14)), now=3)
    assert all(hall.held(name) for name in "bde")
    hall.beat(20)
    leave = [
        hall.stalls["b"].leave(span(23.9, 14), at(23.9)),
        hall.stalls["e"].leave(span(23.9, 50), at(23.9)),
        hall.stalls["d"].leave(span(24.1, 20), at(24.1)),
    ]
    assert leave == [Leave.GIVEN, Leave.GIVEN, Leave.ASKED]


def test_at_most_two_of_three_when_one_comes_back_just_as_another_goes_on_without_it():
    """What the one that was away claimed meanwhile is the oldest, and nobody knew of it."""
    hall = Hall(Bond(2, frozenset("hrt")))
    h, r, t = (hall.stalls[name] for name in "hrt")
    r.follow([Wanted(span(100))], None, at(2))
    t.follow([Wanted(span(100))], None, at(3))
    h.follow([Wanted(span(100))], None, at(4))
    t_waits, h_waits = t.take(at(4)), h.take(at(4))
    for word in t_waits:
        h.hear_claims(word, at(4))
    for word in h_waits:
        t.hear_claims(word, at(4))
    h.hear_presence("r", 1, 1, False, at(5))
    h.tick(at(5))
    h_holds = h.take(at(5))
    r.connected(at(6))
    for word in (*t_waits, *h_waits):
        r.hear_claims(word, at(6))
    hall.deaf.add("h")
    for word in r.take(at(6)):
        hall.pass_on(word, 6)
    hall.talk(6)
    hall.deaf.clear()
    for word in h_holds:
        hall.pass_on(word, 6)
    hall.talk(7)
    hall.beat(9)
    assert sorted(name for name in "hrt" if hall.held(name)) == ["h", "t"]


def test_doubled_and_old_words_change_nothing(two):
    two.wants("orchard", Wanted(span(100)), now=1)
    old = two.said["orchard", ""]
    two.wants("orchard", now=2)
    two.wants("cart", Wanted(span(100)), now=3)
    before = two.stalls["cart"].take(at(3)), two.held("cart")
    for _ in range(3):
        two.pass_on(old, 4)
    two.talk(4)
    assert before == ((), {span(100)})
    assert two.held("cart") == {span(100)}


def test_a_stall_that_was_never_there_is_not_waited_for_longer_than_a_lease():
    hall = Hall(Bond(1, frozenset({"orchard", "cart"})))
    alone = Accord("orchard", 1, PACE)
    alone.connected(at(0))
    alone.rules(hall.bonds, at(0))
    for now in range(0, 40, 5):
        alone.beat()
        for word in alone.take(at(now)):
            if isinstance(word, Claims):
                alone.hear_claims(word, at(now))
        alone.follow([Wanted(span(100))], None, at(now))
        held = [claim for claim in alone.own if claim.held]
        assert bool(held) == (now > PACE.lease)


def test_a_neighbour_who_was_not_handed_the_rules_yet_is_waited_for_and_then_passed_over():
    bond = Bond(1, frozenset({"orchard", "cart"}))
    hall = Hall(bond)
    hall.stalls["cart"] = Accord("cart", 2, PACE)
    hall.stalls["cart"].connected(at(0))
    hall.talk(1)
    hall.wants("orchard", Wanted(span(100)), now=2)
    assert not hall.held("orchard")
    for now in range(5, 40, 5):
        hall.beat(now)
    assert hall.held("orchard") == {span(100)}
    hall.stalls["cart"].rules([bond], at(40))
    hall.talk(40)
    hall.wants("cart", Wanted(span(120)), now=41)
    assert not hall.held("cart")


def test_what_is_held_is_not_given_away_to_what_would_have_ranked_before_it(two):
    """A neighbour that starts again has forgotten what leave it gave."""
    two.wants("orchard", Wanted(span(100)), now=10)
    orchard = two.stalls["orchard"]
    late = Claim(1, span(120), Rank(0, 0, "cart"), span(120).end, promised=True)
    orchard.hear_claims(Claims("cart", 2, 1, (late,)), at(11))
    answers = [word for word in orchard.take(at(11)) if isinstance(word, Answer)]
    assert [(answer.seen, answer.refused) for answer in answers] == [(1, (1,))]


def test_one_that_starts_again_claims_nothing_before_it_has_heard_its_neighbours(two):
    """And what it claims then ranks after all that they hold, even if it was promised long ago."""
    two.wants("cart", Wanted(span(100)), now=1)
    again = Accord("orchard", 2, PACE)
    again.connected(at(5))
    again.rules(two.bonds, at(5))
    again.follow([Wanted(span(120), promised=True)], None, at(5))
    assert not list(again.own)
    again.hear_claims(two.said["cart", ""], at(6))
    (claim,) = again.own
    (held,) = two.stalls["cart"].own
    assert claim.rank > held.rank
    assert not claim.held
