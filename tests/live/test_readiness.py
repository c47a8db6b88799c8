"""Half past nine, the fair opens at ten: each thing tried, and each single thing broken in turn."""

from __future__ import annotations

import errno
import os
import tempfile
import time
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from showtime.fair import Stall, instant
from showtime.fair.budgets import Performances
from showtime.fair.wishes import Fixed
from showtime.live import Desk, Journal
from showtime.live import events as happened
from showtime.live.clock.deskclock import DeskClock
from showtime.live.clock.simulated import SimulatedMachine
from showtime.live.places import journal_path, socket_path
from showtime.live.readiness import Check, Readiness, State, tried
from showtime.live.readiness.recording import A_DAY, Recording
from showtime.live.telling import Ear


@pytest.fixture(scope="session")
def kept_plans(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("plans")


@dataclass
class Stand:
    """The demo stall in a folder of its own, on a machine whose clock the test sets."""

    folder: Path
    stall: Stall
    machine: SimulatedMachine = field(init=False)

    def __post_init__(self) -> None:
        self.machine = self.at("2027-02-13T09:30")

    def at(self, moment: str, battery: bool = True) -> SimulatedMachine:
        zone = self.stall.signboard.timezone
        there = instant(datetime.fromisoformat(moment).replace(tzinfo=zone))
        self.machine = SimulatedMachine(there, battery=battery)
        return self.machine

    def readiness(self, day: str = "") -> Readiness:
        desk = Desk(self.stall, self.folder, DeskClock(self.stall, self.machine))
        return replace(Readiness.of(desk, day), root=self.folder / "root")

    def lines(self, day: str = "") -> dict[str, tuple[str, str, str]]:
        """What was found without a hand and a sound: state, what it says, what to do."""
        readiness = self.readiness(day)
        found = readiness.tried(readiness.checks())
        return {each.name: (each.state.value, each.says, each.mend) for each in found}

    def not_well(self) -> dict[str, tuple[str, str, str]]:
        return {name: line for name, line in self.lines().items() if line[0] != "ok"}

    @property
    def journal(self) -> Path:
        return journal_path(self.stall, self.stall.days[0].date)


@pytest.fixture
def stand(
    tin_orchard: Stall, tmp_path: Path, kept_plans: Path, monkeypatch: pytest.MonkeyPatch
) -> Stand:
    monkeypatch.setenv("XDG_CACHE_HOME", str(kept_plans))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("SHOWTIME_SOUND_CARD", "null")
    return Stand(tmp_path, tin_orchard)


def test_when_all_is_well_each_thing_says_so_and_nothing_is_left_behind(stand: Stand) -> None:
    found = stand.lines()
    names = {"plan", "heat", "battery", "quiet", "clock", "journal", "disk", "power", "phrases"}
    assert found.keys() == names
    assert {state for state, _, _ in found.values()} == {"ok"}
    assert found["plan"][1].startswith("13 performances, first 10:20")
    assert "09:30 on Saturday 13 February 2027, by the battery clock" in found["clock"][1]
    assert list(stand.journal.parent.iterdir()) == []


def test_the_charge_that_is_told_is_the_sum_over_the_plan(stand: Stand) -> None:
    # Ah = sum of A x h, beneath it the idle current all day, reckoned by hand.
    readiness = stand.readiness()
    made = readiness.planned.plan()
    hours = made.day.hours.length / timedelta(hours=1)
    charge = 0.4 * hours + sum(
        (p.piece.current_a) * (p.piece.lasts / timedelta(hours=1)) for p in made.performances
    )
    assert f"takes {charge:.2f} Ah of 8.00 Ah" in stand.lines()["battery"][1]
    assert readiness.planned.share_of_battery() == pytest.approx(charge / 10 + 0.2)


def test_rules_that_clash_are_named(stand: Stand) -> None:
    day = stand.stall.days[0]
    none = Performances(0, None, because="the mayor")
    fixed = Fixed(day.hours.start + timedelta(hours=5, minutes=30))
    wishes = replace(day.wishes, fixed=(fixed,))
    clash = replace(day, budgets=(*day.budgets, none), wishes=wishes)
    stand.stall = replace(stand.stall, days=(clash, *stand.stall.days[1:]))
    wrong = stand.not_well()
    assert wrong.keys() == {"plan"}
    assert wrong["plan"][0] == "mend" and "the mayor" in wrong["plan"][1]
    assert wrong["plan"][2] == "showtime plan names the rules"


def test_a_day_into_which_nothing_fits_is_not_ready(stand: Stand) -> None:
    day = stand.stall.days[0]
    wishes = replace(day.wishes, fixed=())
    none = replace(day, budgets=(*day.budgets, Performances(0)), wishes=wishes)
    stand.stall = replace(stand.stall, days=(none, *stand.stall.days[1:]))
    assert stand.not_well()["plan"][:2] == ("mend", "no performance fits into the day")


def test_a_board_that_lost_the_time_is_not_ready_and_asks_nobody_whether_it_is_right(
    stand: Stand,
) -> None:
    stand.at("2027-02-13T09:30", battery=False)
    wrong = stand.not_well()
    assert wrong.keys() == {"clock"}
    assert wrong["clock"][0] == "mend" and "not known" in wrong["clock"][1]
    assert "tell clock" in wrong["clock"][2]
    assert stand.readiness().time_asked == ""


def test_at_home_the_date_is_remarked_upon_and_the_first_day_is_tried(stand: Stand) -> None:
    stand.at("2027-02-10T20:00")
    wrong = stand.not_well()
    assert wrong.keys() == {"clock"}
    assert wrong["clock"][0] == "look" and "2027-02-13" in wrong["clock"][2]
    assert stand.lines("2027-02-14")["clock"][0] == "ok"


def test_a_full_disk_is_to_be_mended(stand: Stand) -> None:
    def judged(free: int) -> str:
        recording = Recording(
            stand.stall, stand.stall.days[0], stand.journal, time.monotonic, lambda folder: free
        )
        return recording.disk()[0].state.value

    assert judged(2 * A_DAY) == "ok"  # the fair has two days
    assert judged(2 * A_DAY - 1) == "mend"


def test_a_slow_disk_is_remarked_upon(stand: Stand) -> None:
    ticks = iter(range(1000))
    slow = Recording(stand.stall, stand.stall.days[0], stand.journal, lambda: float(next(ticks)))
    line = slow.disk()[0]
    assert line.state is State.LOOK and "after 1000 ms" in line.says


def test_a_folder_that_cannot_be_made_is_to_be_mended(stand: Stand) -> None:
    stand.journal.parent.parent.mkdir(parents=True)
    stand.journal.parent.write_text("a file in the way")
    wrong = stand.not_well()
    assert wrong.keys() == {"disk"}
    assert wrong["disk"][0] == "mend" and wrong["disk"][2]


def test_a_disk_that_fails_while_it_is_written_to_is_to_be_mended(stand: Stand) -> None:
    def failing(folder: Path) -> int:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    day = stand.stall.days[0]
    line = Recording(stand.stall, day, stand.journal, time.monotonic, failing).disk()[0]
    assert line.state is State.MEND and "input/output error" in line.says


def test_two_keepers_who_try_at_once_do_not_disturb_each_other(stand: Stand) -> None:
    recording = Recording(stand.stall, stand.stall.days[0], stand.journal, time.monotonic)
    found = tried([Check(str(n), recording.disk) for n in range(4)], time.monotonic)
    assert {line.state for line in found} <= {State.OK, State.LOOK}
    assert list(stand.journal.parent.iterdir()) == []


def test_the_journal_of_another_stall_is_to_be_moved_away(stand: Stand) -> None:
    day = stand.stall.days[0]
    stand.journal.parent.mkdir(parents=True)
    journal = Journal(stand.journal)
    early = day.hours.start - timedelta(hours=1)
    journal.append(happened.DayBegan(at=early, stall="Another", date=day.date, slots=()))
    journal.close()
    wrong = stand.not_well()
    assert wrong.keys() == {"journal"} and "Another" in wrong["journal"][1]


def test_a_day_that_was_begun_goes_on_and_its_journal_is_not_touched(stand: Stand) -> None:
    day = stand.stall.days[0]
    stand.journal.parent.mkdir(parents=True)
    journal = Journal(stand.journal)
    began = happened.DayBegan(
        at=day.hours.start, stall=stand.stall.signboard.stall, date=day.date, slots=()
    )
    journal.append(began)
    journal.close()
    stand.at("2027-02-13T10:30")
    assert stand.lines()["journal"][:2] == ("ok", "the day goes on: 1 events are kept")
    again = Journal(stand.journal)
    assert again.history == (began,)
    again.close()


def test_a_journal_that_another_program_writes_to_is_told(stand: Stand) -> None:
    stand.journal.parent.mkdir(parents=True)
    journal = Journal(stand.journal)
    wrong, running = stand.not_well(), stand.readiness().running()
    journal.close()
    assert wrong.keys() == {"journal"} and "already running" in wrong["journal"][1]
    assert [line.says for line in running] == ["a day is running already: it hears no orders"]
    assert stand.readiness().running() == ()


def test_a_running_day_is_told_and_asked_for_nothing_but_how_it_stands(
    stand: Stand, monkeypatch: pytest.MonkeyPatch
) -> None:
    short = tempfile.TemporaryDirectory()  # unix(7): a socket's path is 107 bytes at most
    monkeypatch.setenv("XDG_DATA_HOME", short.name)
    asked: list[list[str]] = []

    def told(words: object) -> str:
        asked.append(list(words))
        return "10:30:00 waiting, next 11:05 Frost Bells"

    ear = Ear(socket_path(stand.stall), told)
    line = stand.readiness().running()[0]
    ear.close()
    assert line.state is State.MEND and "next 11:05" in line.says
    assert asked == [["status"]]
    assert stand.readiness().running() == ()
    short.cleanup()


def test_a_broken_phrase_bank_is_named_with_its_place(stand: Stand) -> None:
    bank = stand.folder / "phrasebanks" / "en.yaml"
    bank.parent.mkdir()
    bank.write_text("next:\n  - 'come at <tiem>'\n")
    wrong = stand.not_well()
    assert wrong.keys() == {"phrases"}
    assert wrong["phrases"][0] == "mend" and "en.yaml:" in wrong["phrases"][1]
    line = next(iter(stand.readiness().tried([stand.readiness().voice()])))
    assert (line.name, line.state) == ("voice", State.LOOK)


def test_what_a_bank_is_warned_of_hinders_nothing(stand: Stand, top: Path) -> None:
    bank = stand.folder / "phrasebanks" / "en.yaml"
    bank.parent.mkdir()
    text = (top / "phrasebanks" / "en.yaml").read_text("utf-8")
    bank.write_text(text.replace("rules:\n", "rules:\n  never_used: hello\n", 1))
    wrong = stand.not_well()
    assert wrong.keys() == {"phrases"} and wrong["phrases"][0] == "look"
    assert "never_used" in wrong["phrases"][1]


def test_fragments_that_are_missing_of_ones_own_voice_are_counted(stand: Stand) -> None:
    speaking = replace(stand.stall.speaking, recorded=stand.folder / "my-voice")
    stand.stall = replace(stand.stall, speaking=speaking)
    wrong = stand.not_well()
    assert wrong.keys() == {"recorded"} and wrong["recorded"][0] == "look"
    assert "fragments are missing (en)" in wrong["recorded"][1]


def test_the_time_is_said_aloud_and_its_words_are_shown(stand: Stand) -> None:
    hurried = replace(stand.stall.speaking, words_a_minute=400)
    stand.stall = replace(stand.stall, speaking=hurried)
    readiness = stand.readiness()
    (line,) = readiness.tried([readiness.voice()])
    assert line.state is State.OK, line
    assert "half" in line.says.lower() or "thirty" in line.says.lower()
    assert readiness.time_asked == "09:30"
    assert readiness.heard(line, True).state is State.OK
    assert readiness.heard(line, False).state is State.MEND


def test_without_a_sound_card_the_voice_is_to_be_mended(
    stand: Stand, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SHOWTIME_SOUND_CARD", "No Such Card")
    readiness = stand.readiness()
    (line,) = readiness.tried([readiness.voice()])
    assert line.state is State.MEND and "sound card" in line.says and line.mend


def test_in_a_quiet_interval_nothing_sounds(stand: Stand) -> None:
    stand.at("2027-02-13T11:40")  # story circle at the Lantern Cart
    readiness = stand.readiness()
    begun = time.monotonic()
    (line,) = readiness.tried([readiness.voice()])
    assert line.state is State.LOOK and "story circle" in line.says
    assert time.monotonic() - begun < 1
    assert "story circle" in readiness.quiet_now
