"""The program ends at once, whatever was left open, and never starts another one."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

WATCHED = """
import sys
def watch(event, _arguments):
    if event in {"subprocess.Popen", "os.posix_spawn", "os.fork", "os.forkpty", "os.exec",
                 "os.system", "pty.spawn", "os.startfile"}:
        sys.stdout.write(f"STARTED {event}\\n")
sys.addaudithook(watch)
import threading, time
from showtime.voice import ClipStore, EmbeddedVoice, MutePlayer, open_player
"""

LAST_LINE = """
print("last", flush=True)
"""

BODIES = {
    "a player left open": """
player, _ = open_player("null")
""",
    "a clip still sounding": """
player, _ = open_player("null")
clip = EmbeddedVoice().render("a long answer, " * 20, "en")
assert player.play(clip).wait_until_started(5)
""",
    "a store still rendering": """
store = ClipStore(EmbeddedVoice())
for number in range(150):
    store.wanted(f"number {number}, " * 30, "en")
""",
    "no sound card, trying again": """
player, line = open_player("no such card as this")
assert line, "this machine has a card of that name"
""",
    "everything closed": """
player, _ = open_player("null")
store = ClipStore(EmbeddedVoice())
player.play(store.clip("good night", "en")).wait_until_ended(5)
store.close()
player.close()
""",
    "five players and five stores": """
held = [(open_player("null"), ClipStore(EmbeddedVoice())) for _ in range(5)]
for (player, _), store in held:
    store.wanted("good night", "en")
    player.play(store.clip("good night", "en"))
""",
    "spoken from another thread": """
player, _ = open_player("null")
def speak():
    player.play(EmbeddedVoice().render("good night", "en"))
thread = threading.Thread(target=speak)
thread.start()
thread.join()
""",
    "a player closed while a clip sounds": """
player, _ = open_player("null")
playback = player.play(EmbeddedVoice().render("good night", "en"))
playback.wait_until_started(5)
player.close()
""",
    "a rehearsal": """
player = MutePlayer(time.monotonic)
player.play(EmbeddedVoice().render("good night", "en"))
""",
}


@pytest.mark.parametrize("body", BODIES.values(), ids=BODIES.keys())
def test_the_program_ends_at_once_and_quietly(body: str, tmp_path: Path) -> None:
    program = subprocess.Popen(
        [sys.executable, "-c", WATCHED + body + LAST_LINE],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=Path(__file__).parents[2],
        env={**os.environ, "TMPDIR": str(tmp_path)},
    )
    assert program.stdout is not None
    assert program.stderr is not None
    first = program.stdout.readline()
    told = time.monotonic()
    rest, complaints = program.communicate(timeout=30)
    taken = time.monotonic() - told
    assert (first, complaints) == ("last\n", "")
    assert "STARTED" not in rest
    assert program.returncode == 0
    assert taken < 1
    assert list(tmp_path.iterdir()) == []


def test_the_watch_over_other_programs_would_notice_one() -> None:
    body = "import os; os.system('true')"
    done = subprocess.run(
        [sys.executable, "-c", WATCHED + body],
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[2],
        check=True,
    )
    assert "STARTED os.system" in done.stdout


def test_importing_the_room_loads_neither_sound_nor_speech() -> None:
    heavy = "{'miniaudio', 'pyttsx3', 'numpy', 'ctypes', 'wave', 'espeakng_loader'}"
    code = f"import sys, showtime.voice; print(sorted({heavy} & set(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[2],
        check=True,
    )
    assert done.stdout == "[]\n"


def test_a_deep_folder_does_not_end_the_program(tmp_path: Path) -> None:
    """The synthesiser's library ends the whole process when its data lies 160 bytes deep."""
    deep = tmp_path / ("d" * 90) / ("e" * 90)
    deep.mkdir(parents=True)
    body = f"""
import espeakng_loader
from pathlib import Path
Path({str(deep / "data")!r}).symlink_to(espeakng_loader.get_data_path())
espeakng_loader.get_data_path = lambda: {str(deep / "data")!r}
print(EmbeddedVoice().render("still here", "en").seconds > 0.3)
"""
    done = subprocess.run(
        [sys.executable, "-c", WATCHED + body],
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[2],
        env={**os.environ, "TMPDIR": "/tmp"},
        check=True,
    )
    assert (done.stdout, done.stderr) == ("True\n", "")


def test_incomplete_data_is_one_line_and_not_the_end_of_the_program(tmp_path: Path) -> None:
    body = f"""
import espeakng_loader
from showtime.voice import VoiceError
espeakng_loader.get_data_path = lambda: {str(tmp_path)!r}
print(EmbeddedVoice().trouble)
try:
    EmbeddedVoice().render("hello", "en")
except VoiceError as problem:
    print(problem)
"""
    done = subprocess.run(
        [sys.executable, "-c", WATCHED + body],
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[2],
        check=True,
    )
    trouble, problem = done.stdout.splitlines()
    assert trouble == problem
    assert "cannot be loaded" in problem
    assert "pip install" in problem
    assert done.stderr == ""
