"""What any player of clips owes the day: the real one on the null card, and the mute one."""

from __future__ import annotations

import time
from array import array
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import pytest

from showtime.voice import SOFTLY, Clip, Ending, MutePlayer, Player
from showtime.voice.card import NullCard
from showtime.voice.device_player import DevicePlayer, Patience

RATE = 22_050


def clip(seconds: float, level: int = 12_000, rate: int = RATE) -> Clip:
    return Clip(array("h", [level] * round(seconds * rate)).tobytes(), rate)


@dataclass
class Rig:
    """A player with a plug that can be pulled."""

    player: Player
    unplug: Callable[[], None]
    plug_in: Callable[[], None]
    jam: Callable[[], None]
    told: list[str] = field(default_factory=list)


def device_rig(told: list[str]) -> Rig:
    card = NullCard()
    patience = Patience(rest=0.2, again=0.05, stuck=0.3)
    player = DevicePlayer(card, told=told.append, patience=patience)
    return Rig(player, card.unplug, card.plug_in, card.jam, told)


def mute_rig(told: list[str]) -> Rig:
    player = MutePlayer(time.monotonic, told=told.append)
    return Rig(player, player.unplug, player.plug_in, player.jam, told)


@pytest.fixture(params=[device_rig, mute_rig], ids=["device", "mute"])
def rig(request: pytest.FixtureRequest) -> Iterator[Rig]:
    made = request.param([])
    yield made
    made.player.close()


def before_long(holds: Callable[[], bool], seconds: float = 5.0) -> bool:
    until = time.monotonic() + seconds
    while not holds() and time.monotonic() < until:
        time.sleep(0.005)
    return holds()


def test_playing_returns_at_once_and_the_clip_takes_its_own_time(rig: Rig) -> None:
    begun = time.monotonic()
    playback = rig.player.play(clip(0.4))
    returned = time.monotonic() - begun
    assert playback.wait_until_started(5)
    assert rig.player.busy
    assert playback.wait_until_ended(5) is Ending.HEARD
    taken = time.monotonic() - begun
    assert not rig.player.busy
    assert returned < 0.2
    assert 0.35 < taken < 2


def test_a_new_answer_takes_the_place_of_the_one_that_sounds(rig: Rig) -> None:
    first = rig.player.play(clip(5))
    assert first.wait_until_started(5)
    second = rig.player.play(clip(0.1))
    assert first.ending is Ending.CUT
    assert second.wait_until_ended(5) is Ending.HEARD


def test_twenty_presses_in_a_row_leave_one_answer_sounding(rig: Rig) -> None:
    played = [rig.player.play(clip(0.2)) for _ in range(20)]
    assert played[-1].wait_until_ended(5) is Ending.HEARD
    assert {one.ending for one in played[:-1]} == {Ending.CUT}


def test_stop_ends_the_clip_early(rig: Rig) -> None:
    playback = rig.player.play(clip(5))
    assert playback.wait_until_started(5)
    rig.player.stop()
    assert playback.ending is Ending.CUT
    assert not rig.player.busy


def test_stopping_a_player_that_plays_nothing_is_no_trouble(rig: Rig) -> None:
    rig.player.stop()
    assert not rig.player.busy
    assert rig.player.trouble == ""


def test_a_soft_answer_is_played_like_any_other(rig: Rig) -> None:
    assert rig.player.play(clip(0.05), gain=SOFTLY).wait_until_ended(5) is Ending.HEARD


def test_an_empty_clip_is_over_soon(rig: Rig) -> None:
    assert rig.player.play(Clip(b"", RATE)).wait_until_ended(5) is Ending.HEARD


@pytest.mark.parametrize("rate", [8_000, 16_000, 44_100, 48_000])
def test_a_clip_of_another_rate_keeps_its_length(rig: Rig, rate: int) -> None:
    begun = time.monotonic()
    assert rig.player.play(clip(0.3, rate=rate)).wait_until_ended(5) is Ending.HEARD
    assert 0.25 < time.monotonic() - begun < 2


@pytest.mark.parametrize("gain", [-0.1, 1.01, float("nan"), float("inf")])
def test_a_gain_that_could_clip_is_refused(rig: Rig, gain: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        rig.player.play(clip(0.1), gain=gain)


def test_a_plug_pulled_in_mid_sentence_is_told_once_and_the_day_goes_on(rig: Rig) -> None:
    playback = rig.player.play(clip(5))
    assert playback.wait_until_started(5)
    rig.unplug()
    assert playback.wait_until_ended(5) is Ending.UNHEARD
    assert before_long(lambda: len(rig.told) == 1)
    assert rig.player.trouble == rig.told[0]
    assert "plug" in rig.player.trouble
    assert [rig.player.play(clip(0.1)).wait_until_ended(5) for _ in range(5)] == [
        Ending.UNHEARD
    ] * 5
    assert not rig.player.busy
    assert len(rig.told) == 1


def test_plugged_in_again_the_figure_speaks_again_and_says_so(rig: Rig) -> None:
    rig.unplug()
    assert before_long(lambda: rig.player.trouble != "")
    rig.plug_in()
    assert before_long(lambda: rig.player.trouble == "")
    assert before_long(lambda: len(rig.told) == 2)
    assert "back" in rig.told[1]
    assert rig.player.play(clip(0.1)).wait_until_ended(5) is Ending.HEARD


def test_each_time_the_plug_is_pulled_is_told(rig: Rig) -> None:
    for times in (1, 2, 3):
        rig.unplug()
        assert before_long(lambda: rig.player.trouble != "")
        rig.plug_in()
        assert before_long(lambda: rig.player.trouble == "")
        assert before_long(lambda times=times: len(rig.told) == 2 * times)


def test_a_card_that_another_program_jams_is_noticed(rig: Rig) -> None:
    playback = rig.player.play(clip(5))
    assert playback.wait_until_started(5)
    rig.jam()
    assert playback.wait_until_ended(5) is Ending.UNHEARD
    assert before_long(lambda: len(rig.told) == 1)
    rig.plug_in()
    assert before_long(lambda: rig.player.trouble == "")
    assert rig.player.play(clip(0.1)).wait_until_ended(5) is Ending.HEARD


def test_closing_cuts_what_sounds_and_later_clips_stay_unheard(rig: Rig) -> None:
    playback = rig.player.play(clip(5))
    assert playback.wait_until_started(5)
    rig.player.close()
    assert playback.ending is Ending.CUT
    assert rig.player.play(clip(0.1)).ending is Ending.UNHEARD
    rig.player.close()


def test_presses_minutes_apart_are_all_heard(rig: Rig) -> None:
    """Between them the stream of a real card rests, here after 0.2 s."""
    for _ in range(3):
        assert rig.player.play(clip(0.05)).wait_until_ended(5) is Ending.HEARD
        time.sleep(0.35)
