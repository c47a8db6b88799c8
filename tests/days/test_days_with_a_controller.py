"""Whole days with a controller at the end of a real terminal line, pulled at every message."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from datetime import timedelta
from itertools import count

import pytest

from showtime.figure import Link, Pace, PretendCable, PretendController, WiredFigure
from showtime.figure.ports import LineGoneError
from showtime.figure.serialport import SerialPort
from showtime.live import DayState, Journal, Outcome, RunningDay, SimulatedClock, Stage, World, fold
from showtime.live import events as happened
from showtime.live.journal.recorder import Recorder
from showtime.live.keeper.mend import breaks, performed
from showtime.live.ledger import promises_at
from showtime.live.ports import WordsOnly

PACE = Pace.of(60.0)  # A whole day of beats each second would take long, and prove no more.
MARGIN = timedelta(seconds=10)
MINUTE = timedelta(minutes=1)


class Counted:
    """A port that counts what goes through it, and tells of each message before it is sent."""

    def __init__(self, port, telling: Callable[[bytes], None]) -> None:
        self.port = port
        self.telling = telling
        self.sent = self.received = 0
        self.closed = False

    def read(self) -> bytes:
        data = self.port.read()
        self.received += len(data)
        return data

    def write(self, data: bytes) -> None:
        self.telling(data)
        self.port.write(data)
        self.sent += len(data)

    def wait(self, seconds: float) -> None:
        self.port.wait(seconds)

    def close(self) -> None:
        self.closed = True
        self.port.close()


class Fairground:
    """The demo stall's Saturday with its figure wired up; the cable goes at message `pulled_at`."""

    def __init__(self, stall, plan, english, folder, pulled_at: int = 0, away=4 * MINUTE) -> None:
        hours = plan.day.hours
        self.clock = SimulatedClock(hours.start - timedelta(minutes=10))
        self.away = away
        self.cable = PretendCable(folder / "tty")
        self.ours: Counted | None = None
        self.theirs = Counted(self.cable, self.said)
        self.controller = PretendController(self.theirs, self.clock.monotonic, PACE)
        self.numbers = count(1)
        self.messages = 0
        self.pulled_at = pulled_at
        self.pulled = self.released = None
        self.pumping = self.hung = False
        link = Link("tty", self.opened, self.clock.monotonic, PACE, greeting=1)
        self.figure = WiredFigure(link, self.clock.monotonic, MARGIN)
        self.link = link
        self.journal = Journal()
        world = World(
            journal=Recorder(self.journal),
            clock=self.clock,
            alarms=self.clock,
            speech=WordsOnly(self.clock),
            figure=self.figure,
            banks={"en": english},
            random=random.Random(5),
            replanner=lambda state, now: None,
        )
        self.running = RunningDay(DayState(plan.day, stall.keep_within), world)
        self.pump()
        self.running.begin(plan.performances, None)
        for minutes in range(5, 450, 20):
            self.clock.set(f"ask {minutes}", self.clock.now() + minutes * MINUTE, self.asks)

    def asks(self) -> None:
        self.running.asked("visitor")

    def opened(self) -> Counted:
        self.ours = Counted(SerialPort(str(self.cable.path), 115_200), self.said)
        self.theirs.sent = self.theirs.received = 0
        self.cable.read()
        return self.ours

    def said(self, data: bytes) -> None:
        if b" beat " not in data and b" pulse " not in data:
            self.messages = next(self.numbers)
            if self.messages == self.pulled_at:
                self.unplug()
        if not self.pumping:
            self.clock.set("pump", self.clock.now(), self.pump)

    def unplug(self) -> None:
        self.pulled = self.clock.now()
        self.cable.unplug()
        self.clock.set("plug in", self.pulled + self.away, self.cable.plug_in)
        self.clock.set("release", self.pulled + self.away + 2 * MINUTE, self.release)

    def release(self) -> None:
        self.released = self.clock.now()
        self.stage_before_release = self.running.state.stage
        self.said_at_release = self.running.tell(["release"])

    def pump(self) -> None:
        """Both sides go on until nothing is on the wire any more."""
        self.pumping = True
        patience = time.monotonic() + 2.0
        quiet = 0
        while quiet < 2:
            before = self.traffic()
            self.figure.step()
            self.controller.step()
            waits = self.on_the_wire()
            quiet = 0 if waits or before != self.traffic() else quiet + 1
            if waits and time.monotonic() > patience:
                raise AssertionError("bytes were lost on the line")
        self.pumping = False
        dues = [self.link.due(), *([] if self.hung else [self.controller.due()])]
        due = min(dues) - self.clock.monotonic()
        self.clock.set("pump", self.clock.now() + timedelta(seconds=max(due, 0.001)), self.pump)

    def traffic(self):
        return [(end.sent, end.received) for end in (self.ours, self.theirs) if end]

    def on_the_wire(self) -> bool:
        if self.ours is None or self.ours.closed or not self.cable.path.is_symlink():
            return False
        coming = self.theirs.sent > self.ours.received
        return coming or (self.ours.sent > self.theirs.received and not self.hung)

    def to_the_end(self):
        self.clock.turn_to(self.running.state.day.hours.end + 10 * MINUTE)
        self.released = self.released or self.clock.now()
        self.history = list(self.journal)
        self.running.end()
        self.figure.close()
        self.cable.unplug()
        return self

    def events(self, kind):
        return [event for event in self.history if isinstance(event, kind)]

    @property
    def played(self):
        return [deed for deed in self.controller.deeds if deed.what == "played"]


def judge_rules(day: Fairground) -> None:
    state = day.running.state
    assert {rule for rule, _ in breaks(state.day, performed(state))} <= {"grid", "piece"}


def judge_once(day: Fairground) -> None:
    """What the body did is what the journal says, each once and in order."""
    runs = [deed.about[0] for deed in day.played]
    assert len(set(runs)) == len(runs)
    started = [event.slot for event in day.events(happened.Started)]
    assert len(set(started)) == len(started)
    assert 0 <= len(started) - len(runs) <= 1


def judge_word(day: Fairground) -> None:
    """Nobody was left with a wrong time, but for those of the very minutes of the hold."""
    state = day.running.state
    for promise in promises_at(state, day.clock.now()):
        if promise.outcome is Outcome.BROKEN:
            assert day.pulled - 2 * MINUTE <= promise.told <= day.released + 2 * MINUTE, promise


@pytest.fixture(scope="module")
def quiet_day(tin_orchard, saturday_plan, english, tmp_path_factory):
    """A day on which nothing goes wrong."""
    folder = tmp_path_factory.mktemp("line")
    return Fairground(tin_orchard, saturday_plan, english, folder).to_the_end()


def test_a_day_over_a_real_line_plays_every_performance_at_its_time(quiet_day, saturday_plan):
    started = [event.at for event in quiet_day.events(happened.Started)]
    assert started == saturday_plan.starts
    assert len(quiet_day.played) == len(saturday_plan.starts)
    assert len(quiet_day.events(happened.Finished)) == len(saturday_plan.starts)
    assert not quiet_day.events(happened.FigureFailed)
    judge_rules(quiet_day)
    promises = quiet_day.running.state.promises
    assert {promise.outcome for promise in promises} == {Outcome.KEPT}


def test_the_cable_pulled_at_any_message_holds_the_day_which_recovers(
    tin_orchard, saturday_plan, english, tmp_path, quiet_day, full
):
    messages = quiet_day.messages
    assert messages > 200
    luck = random.Random(17)
    places = range(1, messages + 1) if full else sorted(luck.sample(range(1, messages), 8))
    for place in places:
        day = Fairground(tin_orchard, saturday_plan, english, tmp_path, pulled_at=place)
        day.to_the_end()
        assert day.pulled is not None, place
        judge_pulled(day, len(saturday_plan.starts), f"pulled at message {place} of {messages}")


def judge_pulled(day: Fairground, planned: int, place: str) -> None:
    failed = day.events(happened.FigureFailed)
    if day.pulled < day.running.state.day.hours.end:
        assert failed, place
        assert failed[0].at - day.pulled <= timedelta(seconds=PACE.silence + 1), place
        assert day.stage_before_release is Stage.HELD, place
        assert day.said_at_release.startswith("Going on."), place
    held = day.pulled, day.released
    for event in day.events(happened.Started):
        assert not (held[0] < event.at < held[1]) or event.at <= failed[0].at, place
    assert not day.controller.moving
    judge_once(day)
    judge_rules(day)
    judge_word(day)
    done = len(day.events(happened.Finished))
    assert done >= planned - 2, place


@pytest.mark.parametrize(
    "befall",
    ["jam", "overheat", "drain", "press_stop", "freeze", "lose_power", "go_deaf", "go_mute"],
)
def test_whatever_befalls_the_figure_in_mid_piece_holds_the_day_until_released(
    befall, tin_orchard, saturday_plan, english, tmp_path
):
    day = Fairground(tin_orchard, saturday_plan, english, tmp_path)
    third = saturday_plan.performances[2]
    day.clock.turn_to(third.starts + MINUTE)
    assert day.controller.moving
    getattr(day.controller, befall)()
    day.hung = befall == "freeze"
    day.pump()
    day.clock.turn_to(third.starts + 4 * MINUTE)
    assert day.running.state.stage is Stage.HELD
    assert day.running.trouble or befall == "lose_power"
    if befall in ("jam", "overheat", "drain", "press_stop"):
        assert day.running.tell(["release"]).startswith("Not yet: ")
    day.controller.mend()
    day.controller.thaw()
    day.hung = False
    day.controller.go_deaf(False)
    day.controller.go_mute(False)
    day.clock.turn_to(third.starts + 8 * MINUTE)
    assert day.running.state.stage is Stage.HELD
    assert not day.controller.moving
    day.pulled, day.released = third.starts, day.clock.now()
    assert day.running.tell(["release"]).startswith("Going on.")
    assert day.running.trouble == ""
    day.to_the_end()
    assert len(day.events(happened.Finished)) >= len(saturday_plan.starts) - 2
    judge_once(day)
    judge_rules(day)
    judge_word(day)


def test_an_end_that_is_not_told_is_a_fault_after_the_margin(
    tin_orchard, saturday_plan, english, tmp_path
):
    day = Fairground(tin_orchard, saturday_plan, english, tmp_path)
    first = saturday_plan.performances[0]
    day.clock.turn_to(first.starts + MINUTE)
    day.controller.drag(120)
    day.clock.turn_to(first.ends + MARGIN - timedelta(seconds=1))
    assert day.running.state.stage is Stage.PLAYING
    day.clock.turn_to(first.ends + MARGIN + timedelta(seconds=1))
    assert day.running.state.stage is Stage.HELD
    assert "has ended" in day.running.trouble
    assert not day.controller.moving
    assert day.running.tell(["release"]).startswith("Going on.")
    day.pulled, day.released = first.starts, day.clock.now()
    judge_rules(day.to_the_end())


def test_a_piece_that_takes_a_little_too_long_breaks_no_rule_and_no_promise(
    tin_orchard, saturday_plan, english, tmp_path
):
    day = Fairground(tin_orchard, saturday_plan, english, tmp_path)
    for performance in saturday_plan.performances:
        day.clock.turn_to(performance.starts + MINUTE)
        day.controller.drag(5)
    day.to_the_end()
    assert len(day.events(happened.Finished)) == len(saturday_plan.starts)
    assert max(event.overran for event in day.events(happened.Finished)) == 5
    judge_rules(day)
    assert {promise.outcome for promise in day.running.state.promises} == {Outcome.KEPT}


def test_a_hold_stops_the_motors_before_anything_else(
    tin_orchard, saturday_plan, english, tmp_path
):
    day = Fairground(tin_orchard, saturday_plan, english, tmp_path)
    day.clock.turn_to(saturday_plan.starts[0] + MINUTE)
    assert day.controller.moving
    day.running.tell(["hold"])
    day.pump()
    assert not day.controller.moving
    day.pulled = day.released = day.clock.now()
    day.to_the_end()


def test_a_figure_that_is_not_there_in_the_morning_holds_the_day(
    tin_orchard, saturday_plan, english, tmp_path
):
    day = Fairground(tin_orchard, saturday_plan, english, tmp_path, pulled_at=1, away=90 * MINUTE)
    day.clock.turn_to(saturday_plan.starts[0] + MINUTE)
    assert day.running.state.stage is Stage.HELD
    assert "is not there" in day.running.trouble
    assert day.running.tell(["release"]).startswith("Not yet: the figure's controller")
    day.to_the_end()
    assert day.events(happened.Started)
    judge_rules(day)


def test_the_line_is_gone_for_whoever_reads_it(tmp_path):
    cable = PretendCable(tmp_path / "tty")
    port = SerialPort(str(cable.path), 115_200)
    cable.unplug()
    port.wait(1.0)
    with pytest.raises(LineGoneError):
        port.read()
    with pytest.raises(LineGoneError, match="no such line"):
        SerialPort(str(cable.path), 115_200)


TROUBLES = ("jam", "overheat", "drain", "press_stop", "freeze", "lose_power", "go_deaf", "go_mute")
ORDERS = (
    ("hold",), ("release",), ("release",), ("skip",), ("late", "4"), ("play",), ("undo",),
    ("quiet", "6", "a", "speech"), ("add", "12:10"), ("piece", "The Pear Dance"),
)  # fmt: skip


def muddle(day: Fairground, luck: random.Random) -> None:
    """One thing that may happen on such a day."""
    kind = luck.random()
    if kind < 0.25:
        trouble = luck.choice(TROUBLES)
        getattr(day.controller, trouble)()
        day.hung = day.hung or trouble == "freeze"
    elif kind < 0.35:
        day.cable.unplug() if luck.random() < 0.5 else day.cable.plug_in()
    elif kind < 0.5:
        day.controller.celsius = luck.choice([None, luck.uniform(20, 50)])
    elif kind < 0.55:
        day.controller.mutter(luck.randbytes(luck.randint(1, 3000)))
    elif kind < 0.6:
        day.controller.drag(luck.uniform(1, 30))
    elif kind < 0.8:
        day.running.tell(luck.choice(ORDERS))
    else:
        day.controller.mend()
        day.controller.thaw()
        day.controller.go_deaf(False)
        day.controller.go_mute(False)
        day.cable.plug_in()
        day.hung = False
        day.running.tell(["release"])


def test_whatever_happens_in_whatever_order_rules_hold_and_a_held_figure_rests(
    tin_orchard, saturday_plan, english, tmp_path, full
):
    for seed in range(60 if full else 5):
        luck = random.Random(seed)
        day = Fairground(tin_orchard, saturday_plan, english, tmp_path)
        held_since = None
        while day.clock.now() < saturday_plan.day.hours.end:
            muddle(day, luck)
            day.pump()
            for _ in range(luck.randint(1, 5)):
                day.clock.turn_to(day.clock.now() + timedelta(seconds=luck.uniform(5, 140)))
                state = day.running.state
                held = state.stage is Stage.HELD
                held_since = (held_since or day.clock.now()) if held else None
                rests = timedelta(seconds=2 * PACE.silence)
                if held_since and day.clock.now() - held_since > rests and not day.hung:
                    assert not day.controller.moving, seed
                if state.stage is Stage.WAITING and not state.failing:
                    assert not day.controller.moving or day.hung or not day.link.bonded, seed
        fresh = DayState(saturday_plan.day, tin_orchard.keep_within)
        assert fold(fresh, day.journal) == day.running.state
        day.pulled = day.clock.now()
        day.to_the_end()
        judge_once(day)
        found = {rule for rule, _ in breaks(day.running.state.day, performed(day.running.state))}
        assert found <= {"grid", "piece", "heat"}, seed
        assert "heat" not in found or day.events(happened.Measured), seed
