"""Whatever the network does: never too many together by leave; and when it is well, all goes on."""

from random import Random

import hypothesis.strategies as st
from hypothesis import HealthCheck, settings
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule, run_state_machine_as_test

from showtime.fairnet.claims import Bond

HALLS = {
    "a row of neighbours": [Bond(1, frozenset("ab")), Bond(1, frozenset("bc"))],
    "one at a time": [Bond(1, frozenset("abcd"))],
    "two of five": [Bond(2, frozenset("abcde"))],
    "neighbours, and three in the hall": [
        Bond(1, frozenset("ab")),
        Bond(1, frozenset("cd")),
        Bond(2, frozenset("abcdef")),
    ],
}
SECONDS = st.floats(0.5, 25, allow_nan=False)
STALLS = st.sampled_from("abcdef")


def heal(hall):
    """Everybody is there again, and the network is well for some time."""
    for name in hall.stalls:
        hall.restart(name)
        hall.join(name)
    hall.worst = 0.2
    hall.pass_time(70)


class AnyHall(RuleBasedStateMachine):
    """Stalls want, promise, forget, vanish and come back; time passes."""

    adversary = None

    @initialize(bonds=st.sampled_from(list(HALLS.values())), seed=st.integers(0, 10_000))
    def opens(self, bonds, seed):
        self.hall = self.adversary(bonds, Random(seed))

    def _known(self, name):
        return name if name in self.hall.stalls else "a"

    @rule(
        name=STALLS,
        ahead=st.floats(-1, 90, allow_nan=False),
        lasts=st.floats(5, 50, allow_nan=False),
        planned=st.booleans(),
        promised=st.booleans(),
    )
    def wants(self, name, ahead, lasts, planned, promised):
        name = self._known(name)
        if len(self.hall.stalls[name].wants) < 5:
            self.hall.want(name, ahead, lasts, planned=planned, promised=promised)

    @rule(seconds=SECONDS)
    def time_passes(self, seconds):
        self.hall.pass_time(seconds)
        assert not self.hall.too_many()

    @rule(name=STALLS)
    def promises(self, name):
        self.hall.promise(self._known(name))

    @rule(name=STALLS)
    def forgets(self, name):
        self.hall.forget(self._known(name))

    @rule(name=STALLS)
    def is_cut_off(self, name):
        self.hall.cut(self._known(name))

    @rule(name=STALLS)
    def crashes(self, name):
        self.hall.crash(self._known(name))

    @rule()
    def all_come_back(self):
        for name in self.hall.stalls:
            self.hall.restart(name)
            self.hall.join(name)

    def teardown(self):
        if not hasattr(self, "hall"):
            return
        heal(self.hall)
        for stall in self.hall.stalls.values():
            while stall.wants:
                self.hall.forget(stall.name)
        span = self.hall.want("a", 120, 5)
        self.hall.pass_time(20)
        assert any(claim.span == span and claim.held for claim in self.hall.stalls["a"].accord.own)
        assert not self.hall.too_many()


def test_any_hall_on_any_network(adversary, full):
    AnyHall.adversary = staticmethod(adversary)
    run_state_machine_as_test(
        AnyHall,
        settings=settings(
            max_examples=400 if full else 60,
            stateful_step_count=60 if full else 30,
            deadline=None,
            derandomize=True,
            database=None,
            suppress_health_check=list(HealthCheck),
        ),
    )


def test_long_days_of_accidents(adversary, full):
    for seed in range(150 if full else 16):
        rng = Random(seed)
        hall = adversary(list(HALLS.values())[seed % 4], rng)
        names = list(hall.stalls)
        for _ in range(60):
            hall.pass_time(rng.uniform(0, 20))
            for name in names:
                if rng.random() < 0.35 and len(hall.stalls[name].wants) < 5:
                    planned, promised = rng.random() < 0.5, rng.random() < 0.2
                    ahead, lasts = rng.uniform(-1, 200), rng.uniform(5, 60)
                    hall.want(name, ahead, lasts, planned=planned, promised=promised)
            happens = rng.random()
            deed = hall.promise if happens < 0.1 else hall.forget if happens < 0.2 else None
            deed = deed or (hall.cut if happens < 0.3 else hall.crash if happens < 0.36 else None)
            if deed is not None:
                deed(rng.choice(names))
            elif happens < 0.7:
                for name in names:
                    hall.restart(name)
                    hall.join(name)
        assert hall.sounds
        assert not hall.too_many(), f"seed {seed}"


def test_an_oracle_that_sees_too_many(adversary):
    """Without any leave asked the same hall breaks its rule, and that is seen."""
    hall = adversary(HALLS["one at a time"], Random(1))
    hall.pass_time(5)
    for stall in hall.stalls.values():
        stall.accord.rules((), hall.when(stall))
        hall.want(stall.name, 10, 30)
    hall.pass_time(60)
    assert hall.too_many()


def test_when_nothing_goes_wrong_nobody_waits_and_nothing_is_missed(adversary):
    hall = adversary(HALLS["one at a time"], Random(3), worst=0.05, skew=0.0)
    hall.pass_time(3)
    for turn in range(8):
        for number, name in enumerate("abcd"):
            hall.want(name, 60 + 120 * turn + 30 * number, 28, planned=True)
    hall.pass_time(60 + 120 * 8)
    starts = [63 + 30 * number for number in range(32)]
    assert [sound.begins for sound in hall.sounds] == starts
    assert all(sound.by_leave for sound in hall.sounds)
