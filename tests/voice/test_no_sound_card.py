"""What the keeper is told about the sound card, on machines with and without one."""

from __future__ import annotations

import ctypes.util
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from showtime.voice import Clip, open_player
from showtime.voice.card import NullCard
from showtime.voice.device_player import DevicePlayer, Patience

ALSA = pytest.mark.skipif(
    ctypes.util.find_library("asound") is None or os.path.exists("/proc/asound/cards"),
    reason="needs ALSA's library, which Linux desktops have, and no real card",
)

ASK = """
import json, sys
from showtime.voice import Clip, open_player
player, line = open_player(sys.argv[1])
playback = player.play(Clip(bytes(4410), 22050))
ending = playback.wait_until_ended(5)
player.close()
print(json.dumps([line, str(ending)]))
"""


def asked(device: str, cards: str, folder: Path, **environment: str) -> tuple[str, str]:
    """The line and the first clip's ending where ALSA is set up as `cards` say."""
    setup = folder / "asound.conf"
    setup.write_text(cards)
    done = subprocess.run(
        [sys.executable, "-c", ASK, device],
        capture_output=True,
        text=True,
        timeout=30,
        cwd=Path(__file__).parents[2],
        env={**os.environ, "ALSA_CONFIG_PATH": str(setup), "PULSE_SERVER": "none", **environment},
    )
    assert done.stderr == ""
    assert done.returncode == 0
    line, ending = json.loads(done.stdout)
    assert "\n" not in line
    return line, ending


HORN = 'pcm.horn { type hw card 7 hint { show on \n description "Tin Horn" } }\n'
CUP = 'pcm.cup { type null hint { show on \n description "Paper Cup" } }\n'
CAN = 'pcm.can { type null hint { show on \n description "Tin Can" } }\n'
DEFAULT = "pcm.!default { type null }\n"
SHOW = "defaults.namehint.showall on\ndefaults.namehint.basic on\n"


@ALSA
def test_without_a_card_the_keeper_is_told_once_and_the_answer_stays_unheard(
    tmp_path: Path,
) -> None:
    line, ending = asked("", "", tmp_path)
    assert "no sound card was found" in line
    assert "screen" in line
    assert ending == "unheard"


@ALSA
def test_a_working_default_card_is_no_news(tmp_path: Path) -> None:
    assert asked("", SHOW + DEFAULT, tmp_path) == ("", "heard")


@ALSA
def test_a_card_is_found_by_its_name_or_a_part_of_it(tmp_path: Path) -> None:
    assert asked("paper", SHOW + CUP + HORN, tmp_path) == ("", "heard")
    assert asked("Paper Cup", SHOW + CUP + HORN, tmp_path) == ("", "heard")


@ALSA
def test_a_card_that_does_not_open_is_named_with_the_others(tmp_path: Path) -> None:
    line, ending = asked("tin horn", SHOW + CUP + HORN, tmp_path)
    assert "'Tin Horn' cannot be opened" in line
    assert "Paper Cup" in line
    assert ending == "unheard"


@ALSA
def test_a_missing_card_is_answered_with_near_names(tmp_path: Path) -> None:
    line, ending = asked("Paper Cap", SHOW + CUP + HORN, tmp_path)
    assert "no sound card called 'Paper Cap'" in line
    assert "'Paper Cup'" in line
    assert "Horn" not in line
    assert ending == "unheard"


@ALSA
def test_a_name_like_none_is_answered_with_all(tmp_path: Path) -> None:
    line, _ = asked("qqqq", SHOW + CUP + HORN, tmp_path)
    assert "Paper Cup" in line
    assert "Tin Horn" in line


@ALSA
def test_a_part_that_two_cards_share_is_asked_back(tmp_path: Path) -> None:
    line, _ = asked("tin", SHOW + CAN + HORN, tmp_path)
    assert "'Tin Horn'" in line
    assert "'Tin Can'" in line


@ALSA
def test_a_sound_server_that_found_no_card_is_no_card(tmp_path: Path) -> None:
    dummy = CUP.replace("Paper Cup", "Dummy Output")
    line, ending = asked("", SHOW + DEFAULT + dummy, tmp_path)
    assert "no sound card was found" in line
    assert ending == "unheard"


@ALSA
def test_the_environment_names_the_card_where_the_settings_do_not(tmp_path: Path) -> None:
    line, _ = asked("", SHOW + CUP, tmp_path, SHOWTIME_SOUND_CARD="Paper Cap")
    assert "'Paper Cap'" in line
    assert asked("paper cup", SHOW + CUP, tmp_path, SHOWTIME_SOUND_CARD="Paper Cap")[0] == ""


def test_the_null_card_takes_sound_on_any_machine() -> None:
    player, line = open_player("null")
    assert line == ""
    assert player.play(Clip(bytes(2_000), 22_050)).wait_until_ended(5) == "heard"
    player.close()


def before_long(holds: Callable[[], bool]) -> bool:
    until = time.monotonic() + 5
    while not holds() and time.monotonic() < until:
        time.sleep(0.005)
    return holds()


class Sulking:
    """A card that never answers when it is opened."""

    def __init__(self) -> None:
        self.inner = NullCard()

    def open(self, pull, lost):
        time.sleep(0.5)
        return self.inner.open(pull, lost)


def test_a_card_that_does_not_answer_does_not_hold_up_the_morning() -> None:
    told: list[str] = []
    begun = time.monotonic()
    player = DevicePlayer(Sulking(), told=told.append, patience=Patience(answer=0.1))
    assert time.monotonic() - begun < 0.4
    assert "does not answer" in player.trouble
    assert before_long(lambda: not player.trouble)
    assert player.play(Clip(bytes(2_000), 22_050)).wait_until_ended(5) == "heard"
    assert len(told) == 1
    assert "back" in told[0]
    player.close()


def test_an_idle_stream_rests_and_wakes_with_the_next_press() -> None:
    player = DevicePlayer(NullCard(), patience=Patience(rest=0.05))
    assert before_long(lambda: player.resting)
    assert player.play(Clip(bytes(40_000), 22_050)).wait_until_started(1)
    assert before_long(lambda: not player.resting)
    player.close()
