"""Thirty stalls for a day in a hurry, with all that can befall a fair's line.

The time of the day passes in steps, each as soon as this process has nothing left to do: so the day
hurries as much as the machine can, and no more.
"""

import time
from datetime import timedelta
from random import Random

from showtime.fair.hall import Joining
from showtime.fairnet import Organiser, Pace
from showtime.live.clock.steady import SteadyClock
from showtime.live.clock.trust import Source, Trusted

STEP = timedelta(seconds=5)
# As at a fair: who is cut off knows it well before a promised start is too late to be kept.
PACE = Pace(
    beat=50, lease=1200, own_lease=120, grace=60, patience=60, tick=0.1, retry=0.3
)  # fmt: skip


class Fairground:
    """The stalls of a fair on a broker; every third by an unkind network, in the clear."""

    def __init__(self, trial, broker, network, live_stall, steps, count, hours, english, seed):
        self.trial, self.broker, self.network, self.luck = trial, broker, network, Random(seed)
        self.steps, self.sounds, self.stalls = steps, [], []
        self.fair = trial.fair_of(count, hours=hours)
        self.hall = self.fair.hall(trial.day)
        self.plans = [trial.plan_for(self.hall, shift) for shift in (0, 1, 2)]
        for number, stand in enumerate(self.fair.stands):
            user = stand.name.lower().replace(" ", "-")
            joining = broker.joining(user)
            if number % 3 == 0:
                port = network.door(stand.name)
                joining = Joining("127.0.0.1", port, user, joining.password_file)
            clock = self._clock(self.luck.uniform(-5, 5))
            made = (stand, number, self.hall, joining, clock, steps, PACE, self.sounds, english)
            self.stalls.append(live_stall(*made))
        self.organisers = [
            Organiser(self.hall, broker.joining("organiser"), self._clock(0), desk, PACE)
            for desk in ("front desk", "gate")
        ]
        self.length = timedelta(hours=hours, minutes=8)

    def _clock(self, ahead):
        begins = self.trial.opens + timedelta(minutes=-3, seconds=ahead)
        return SteadyClock(self.steps, Trusted(Source.PRETENDED, begins))

    def open(self):
        for stall, given in zip(self.stalls, self.plans[0].performances, strict=True):
            stall.switch_on(given)
        self.all_up()
        self.publish(0, 0)

    def all_up(self):
        running = [stall for stall in self.stalls if stall.running is not None]
        self.trial.until(lambda: all(stall.member.is_up for stall in running), 30)

    def publish(self, desk, plan):
        """Hand out that plan; every stall that is there takes it up."""
        version = str(self.organisers[desk].publish(self.plans[plan]))
        there = [stall for stall in self.stalls if stall.running is not None]
        self.trial.until(lambda: all(stall.member.follows == version for stall in there), 30)

    def busy(self, part):
        """That part of the day with visitors who ask, and keepers who play when they like."""
        ends = self.steps.passed + part * self.length
        while self.steps.passed < ends:
            self._people()
            self.steps.passed += STEP
            for stall in self.stalls:
                if stall.running is not None:
                    stall.alarms.go_off()
            self._rest()

    def _people(self):
        """Somebody asks, or two keepers next to each other want to play at the same moment."""
        number = self.luck.randrange(len(self.stalls))
        happens = self.luck.random()
        both = self.stalls[number : number + 2]
        if happens < 0.2 and self.stalls[number].running is not None:
            self.stalls[number].running.asked("visitor")
        elif happens < 0.35:
            for stall in both:
                if stall.running is not None:
                    stall.running.tell(["play"])

    def _rest(self):
        """Until this process is idle, at most for a second."""
        for _ in range(250):
            before = time.process_time()
            time.sleep(0.004)
            if time.process_time() - before < 0.0012:
                return

    def kill(self, stalls):
        for stall in stalls:
            self.network.cut(stall.name)
            stall.kill()

    def switch_on(self, stalls):
        for stall in stalls:
            self.network.mend(stall.name)
            stall.switch_on(())
        self.all_up()

    def close(self):
        for organiser in self.organisers:
            organiser.close()


def test_a_day_with_everything(
    trial, broker_of, live_stall, unkind_network, steps, judge, english, full
):
    hours = 7.0 if full else 0.5
    count = 30 if full or broker_of.real else 12
    broker = broker_of(trial.fair_of(count, hours=hours), plain_door=True)
    network = unkind_network(broker.plain_port, Random(5), 0.02)
    ground = Fairground(trial, broker, network, live_stall, steps, count, hours, english, seed=11)
    try:
        ground.open()
        ground.busy(0.2)
        broker.kill()
        ground.busy(0.05)
        broker.start()
        ground.all_up()
        ground.busy(0.17)
        ground.publish(1, 1)
        ground.busy(0.15)
        victims = ground.stalls[:9:3]
        ground.kill(victims)
        ground.busy(0.1)
        ground.switch_on(victims)
        ground.busy(0.13)
        ground.publish(0, 2)
        ground.publish(1, 0)
        ground.busy(0.2)
        broken = {s.name: s.broken_promises() for s in ground.stalls if s.broken_promises()}
        seen = {str(organiser.view().plan_version) for organiser in ground.organisers}
        follows = {stall.member.follows for stall in ground.stalls}
    finally:
        ground.close()
    by_leave = [sound for sound in ground.sounds if sound.by_leave]
    assert not judge(ground.hall, ground.sounds)
    assert not broken
    assert len(by_leave) >= count
    assert follows == seen and len(seen) == 1, "the last one published wins, and all know it"
