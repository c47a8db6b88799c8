"""What keepers and organisers tell each other over a real broker, with users, rights and TLS."""

import signal
import sys
from datetime import timedelta

import pytest

from showtime.fair.budgets import Battery, Performances, Sounding
from showtime.fair.hall import Joining
from showtime.fairnet import FairnetError, Member, Organiser, Pace, open_broker
from showtime.fairnet.view import Here
from showtime.live import DayState, Stage
from showtime.live.hall import CapsSet, Leave, PlanHanded, QuietCalled, QuietLifted
from showtime.live.keeper.mend import slots


class Listener:
    """A stall on the line, and all that its day was told."""

    def __init__(self, fair, number, joining, clock):
        self.name = fair.stands[number].name
        self.words = []
        self.member = Member(fair.stands[number].stall, joining, clock, Pace(beat=1.0))
        self.member.listen(self.words.append)

    def of(self, kind):
        return [word for word in self.words if isinstance(word, kind)]


@pytest.fixture
def ground(trial, broker_of):
    """Four stalls and an organiser on a broker, all of them there."""

    class Ground:
        pass

    made = Ground()
    made.fair = trial.fair_of(4)
    made.hall = made.fair.hall(trial.day)
    made.broker = broker_of(made.fair)
    made.clock = trial.clock_at(trial.opens)
    made.plan = trial.plan_for(made.hall)
    made.stalls = [
        Listener(made.fair, number, made.broker.joining(f"stall-{number + 1}"), made.clock)
        for number in range(4)
    ]
    made.closing = []

    def organiser(desk="front desk"):
        opened = Organiser(made.hall, made.broker.joining("organiser"), made.clock, desk)
        made.closing.append(opened)
        return opened

    made.organiser = organiser
    made.desk = organiser()
    trial.until(lambda: all(stall.member.is_up for stall in made.stalls))
    trial.until(lambda: all(s.here is Here.PRESENT for s in made.desk.view().stalls))
    yield made
    for each in (*made.closing, *(stall.member for stall in made.stalls)):
        each.close()


def test_a_plan_reaches_every_stall_each_its_own_part(ground, trial):
    version = ground.desk.publish(ground.plan)
    trial.until(lambda: all(stall.of(PlanHanded) for stall in ground.stalls))
    for number, stall in enumerate(ground.stalls):
        (word,) = stall.of(PlanHanded)
        assert word.handout.stall == stall.name
        assert word.handout.performances == ground.plan.performances[number]
        assert word.handout.quiet
    trial.until(lambda: {s.follows for s in ground.desk.view().stalls} == {version})
    assert ground.desk.view().plan_version == version


def test_quiet_now_reaches_every_stall_and_whoever_comes_later_and_is_lifted_by_any_desk(
    ground, trial
):
    call = ground.desk.quiet(10, "a child is lost")
    trial.until(lambda: all(stall.of(QuietCalled) for stall in ground.stalls))
    (word,) = ground.stalls[0].of(QuietCalled)
    assert (word.call, word.why, word.span.length) == (
        call,
        "a child is lost",
        timedelta(minutes=10),
    )
    late = Listener(ground.fair, 1, ground.broker.joining("stall-2"), ground.clock)
    ground.closing.append(late.member)
    trial.until(lambda: late.of(QuietCalled))
    other = ground.organiser("gate")
    trial.until(lambda: [quiet.call for quiet in other.view().quiet] == [call])
    other.lift(call)
    trial.until(
        lambda: all(stall.of(QuietLifted) == [QuietLifted(call)] for stall in ground.stalls)
    )
    trial.until(lambda: not ground.desk.view().quiet)
    with pytest.raises(KeyError):
        ground.desk.lift("nobody called that")


def test_a_stall_that_was_off_when_a_quiet_was_lifted_hears_of_the_lift(ground, trial):
    """As its journal may know of the call, and keep silent until the end that was called."""
    call = ground.desk.quiet(10, "a child is lost")
    trial.until(lambda: ground.stalls[0].of(QuietCalled))
    ground.stalls[1].member.close()
    ground.desk.lift(call)
    trial.until(lambda: ground.stalls[0].of(QuietLifted))
    again = Listener(ground.fair, 1, ground.broker.joining("stall-2"), ground.clock)
    ground.closing.append(again.member)
    trial.until(lambda: again.of(QuietLifted) == [QuietLifted(call)])
    assert not again.of(QuietCalled)
    heard = []
    again.member.listen(heard.append)
    assert QuietLifted(call) in heard, "whoever listens later hears of it too"


def test_a_quiet_of_no_length_is_refused(ground):
    for minutes in (0, -1, float("nan"), float("inf"), 721):
        with pytest.raises(FairnetError, match="12 hours at most"):
            ground.desk.quiet(minutes, "a speech")
    with pytest.raises(FairnetError, match="one line"):
        ground.desk.quiet(5, "two\nlines")


def test_caps_reach_those_they_are_for_and_other_kinds_are_refused(ground, trial):
    ground.desk.caps(
        [Performances(2, timedelta(hours=1), because="too hot"), Sounding(timedelta(minutes=9))],
        ["Stall 1", "Stall 2"],
    )
    trial.until(lambda: all(stall.of(CapsSet) for stall in ground.stalls))
    first, second, third, _ = (stall.of(CapsSet)[-1].caps for stall in ground.stalls)
    assert [cap.why for cap in first] == [
        "too hot: at most 2 performances in any 60 min",
        "at most 9 min of sound in a day",
    ]
    assert second == first
    assert third == ()
    with pytest.raises(FairnetError, match="cannot be set on the day"):
        ground.desk.caps([Battery(10, 0.2, 0.4)])
    with pytest.raises(KeyError):
        ground.desk.caps([], ["Nobody's stall"])


def test_two_organisers_the_last_plan_counts_and_both_see_it(ground, trial):
    gate = ground.organiser("gate")
    ground.desk.publish(ground.plan)
    trial.until(lambda: gate.view().plan_version is not None)
    last = gate.publish(trial.plan_for(ground.hall, 1))
    trial.until(lambda: all(stall.member.follows == str(last) for stall in ground.stalls))
    trial.until(lambda: ground.desk.view().plan_version == last)
    assert last.desk == "gate"


def test_the_broker_is_killed_and_comes_back_and_what_was_said_meanwhile_is_heard(ground, trial):
    ground.desk.publish(ground.plan)
    trial.until(lambda: all(stall.of(PlanHanded) for stall in ground.stalls))
    ground.broker.kill()
    trial.until(lambda: all("no line" in stall.member.trouble for stall in ground.stalls), 20)
    assert "no line to the fair's broker at 127.0.0.1" in ground.desk.view().trouble
    ground.desk.quiet(5, "said while nobody heard it")
    ground.broker.start()
    trial.until(lambda: all(stall.of(QuietCalled) for stall in ground.stalls), 30)
    assert not ground.stalls[0].member.trouble


def test_a_stall_that_leaves_is_gone_at_once(ground, trial):
    ground.stalls[2].member.close()
    trial.until(lambda: ground.desk.view().stall("Stall 3").here is Here.GONE)
    assert ground.desk.view().stall("Stall 1").here is Here.PRESENT


def test_an_unplanned_sound_waits_for_the_neighbours_leave_and_bars_them(ground, trial):
    ground.desk.publish(ground.plan)
    trial.until(lambda: all(stall.of(PlanHanded) for stall in ground.stalls))
    now = ground.clock.now()
    for number, stall in enumerate(ground.stalls):
        upcoming = slots(ground.plan.performances[number])
        state = DayState(ground.hall.days[number], timedelta(minutes=1), Stage.WAITING, upcoming)
        stall.member.follow(state, now)
    span = trial.span(now, timedelta(minutes=2))
    asked = ground.stalls[0].member
    trial.until(lambda: asked.leave(span, now) is Leave.GIVEN)
    trial.until(lambda: ground.stalls[1].member.leave(span, now) is Leave.REFUSED)
    first = ground.plan.performances[1][0].span
    trial.until(lambda: asked.leave(first, first.start) is Leave.REFUSED)


def test_the_organiser_sees_what_every_stall_does(ground, trial):
    upcoming = slots(ground.plan.performances[0])
    state = DayState(ground.hall.days[0], timedelta(minutes=1), Stage.WAITING, upcoming)
    ground.stalls[0].member.follow(state, ground.clock.now())
    trial.until(lambda: ground.desk.view().stall("Stall 1").next is not None)
    seen = ground.desk.view().stall("Stall 1")
    assert (seen.stage, seen.next.piece) == ("waiting", "Hedge Chimes")
    assert [(cap.why, cap.used, cap.limit) for cap in seen.caps] == [
        ("fair rule: at most 6 performances in any 60 min", 0, 6)
    ]
    assert abs(seen.clock_apart) < 5


def test_a_clock_that_is_far_apart_is_told(ground, trial):
    ground.stalls[3].member.close()
    behind = trial.clock_at(trial.opens - timedelta(seconds=45))
    slow = Listener(ground.fair, 3, ground.broker.joining("stall-4"), behind)
    ground.closing.append(slow.member)
    trial.until(lambda: ground.desk.view().stall("Stall 4").clock_apart < -40)
    assert not ground.desk.view().trouble, "it is told at the stall"
    trial.until(lambda: "ahead of ours" in slow.member.trouble)


def test_a_second_program_in_one_stalls_name_is_told(ground, trial):
    twin = Listener(ground.fair, 0, ground.broker.joining("stall-1"), ground.clock)
    ground.closing.append(twin.member)
    trial.until(lambda: "another program" in ground.stalls[0].member.trouble)


def test_a_stall_that_starts_again_with_its_clock_behind_is_listened_to(ground, trial):
    """As the epoch that others know it by is later, it goes on after that."""
    ground.desk.publish(ground.plan)
    trial.until(lambda: all(stall.of(PlanHanded) for stall in ground.stalls))
    ground.stalls[1].member.close()
    behind = trial.clock_at(trial.opens - timedelta(seconds=15))
    again = Listener(ground.fair, 1, ground.broker.joining("stall-2"), behind)
    ground.closing.append(again.member)
    trial.until(lambda: again.member.is_up)
    span = trial.span(behind.now() + timedelta(hours=1), timedelta(minutes=2))
    trial.until(lambda: again.member.leave(span, behind.now()) is Leave.GIVEN)
    assert not again.member.trouble


def test_a_wrong_password_is_told_in_one_line(ground, trial):
    joining = ground.broker.joining("stall-2", password="guessed")
    wrong = Listener(ground.fair, 1, joining, ground.clock)
    ground.closing.append(wrong.member)
    trial.until(lambda: "refuses the user 'stall-2'" in wrong.member.trouble)
    assert "mend fairnet: user and password_file" in wrong.member.trouble
    assert "\n" not in wrong.member.trouble


def test_a_password_file_that_is_not_there_is_named(ground, trial, tmp_path):
    joining = Joining("127.0.0.1", ground.broker.port, "stall-2", tmp_path / "none.txt")
    wrong = Listener(ground.fair, 1, joining, ground.clock)
    ground.closing.append(wrong.member)
    trial.until(lambda: "none.txt: cannot read the password" in wrong.member.trouble)


def test_without_the_libraries_it_says_what_to_install(trial, monkeypatch):
    monkeypatch.setitem(sys.modules, "aiomqtt", None)
    stall = trial.fair_of(1).stands[0].stall
    member = Member(stall, Joining("127.0.0.1", 1), trial.clock_at(trial.opens))
    trial.until(lambda: "pip install 'showtime[fairnet]'" in member.trouble)
    member.close()


def test_a_port_that_is_taken_is_told(trial):
    port = trial.free_port()
    broker = open_broker("127.0.0.1", port)
    try:
        with pytest.raises(FairnetError, match=f"no broker on 127.0.0.1:{port}.*another port"):
            open_broker("127.0.0.1", port)
    finally:
        broker.close()


def test_a_broker_that_falls_silent_is_told_though_the_line_seems_to_be_there(trial, secret_broker):
    fair = trial.fair_of(1)
    broker = secret_broker(fair)
    clock = trial.clock_at(trial.opens, 8.0)
    stall = Listener(fair, 0, broker.joining("stall-1"), clock)
    trial.until(lambda: stall.member.is_up)
    broker.process.send_signal(signal.SIGSTOP)
    try:
        trial.until(lambda: "has fallen silent" in stall.member.trouble)
        now = clock.now()
        assert stall.member.leave(trial.span(now, timedelta(minutes=4)), now) is Leave.GIVEN
    finally:
        broker.process.send_signal(signal.SIGCONT)
    trial.until(lambda: not stall.member.trouble)
    stall.member.close()
