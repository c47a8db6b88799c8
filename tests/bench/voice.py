"""How soon the figure answers, and what waiting costs."""

from __future__ import annotations

import json
import random
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from showtime.voice import Clip, ClipStore, EmbeddedVoice, Player
from showtime.voice.card import NullCard
from showtime.voice.device_player import DevicePlayer, Patience
from tests.bench.row import Row, seconds

SENTENCE = "The next performance is at half past two, and it is the Pear Dance."
PRESSES = 400

MEMORY = """
def resident():
    # In pages of 4 KiB, as Linux counts them.
    return int(open("/proc/self/statm").read().split()[1]) * 4096 / 1e6
import sys, time
before = resident()
begun = time.perf_counter()
from showtime.voice import ClipStore, EmbeddedVoice, open_player
voice = EmbeddedVoice()
voice.render("x", "en")
ready = time.perf_counter() - begun
store = ClipStore(voice)
player, _ = open_player("null")
open_s = time.perf_counter() - begun - ready
player.play(store.clip("The next performance is at half past two.", "en")).wait_until_ended(5)
import json
print(json.dumps({"voice": ready, "card": open_s, "memory": resident() - before}))
"""

# A player of one's own on the same library: each press renders to a file, reads it, plays it.
PEER = """
import json, os, random, sys, tempfile, threading, time, wave
import ctypes, espeakng_loader, miniaudio
ctypes.CDLL(espeakng_loader.get_library_path(), mode=ctypes.RTLD_GLOBAL)
os.environ["ESPEAK_DATA_PATH"] = espeakng_loader.get_data_path()
import pyttsx3
engine = pyttsx3.init("espeak")
clip, started = [b""], threading.Event()
def pulling():
    frames = yield b""
    while True:
        sound, clip[0] = clip[0], b""
        if sound:
            started.set()
        frames = yield sound[: 2 * frames]
pull = pulling()
next(pull)
device = miniaudio.PlaybackDevice(miniaudio.SampleFormat.SIGNED16, 1, 22050, 10,
                                  backends=[miniaudio.Backend.NULL])
device.start(pull)
chance, whole, render = random.Random(1), [], []
folder = tempfile.mkdtemp()
out, sys.stdout = sys.stdout, open(os.devnull, "w")
for press in range(int(sys.argv[1]) + 1):
    time.sleep(chance.uniform(0.015, 0.035))
    begun = time.perf_counter()
    engine.save_to_file(sys.argv[2], folder + "/answer.wav")
    engine.runAndWait()
    with wave.open(folder + "/answer.wav") as file:
        sound = file.readframes(file.getnframes())
    rendered = time.perf_counter()
    started.clear()
    clip[0] = sound
    if sound and started.wait(5) and press:
        whole.append(time.perf_counter() - begun)
        render.append(rendered - begun)
device.close()
os.remove(folder + "/answer.wav")
os.rmdir(folder)
print(json.dumps([whole, render]), file=out)
"""


def child(code: str, *arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parents[2],
    )
    return done.stdout


def percentile(taken: list[float], share: float) -> float:
    return sorted(taken)[min(int(len(taken) * share), len(taken) - 1)]


def spread(taken: list[float]) -> str:
    middle, late = statistics.median(taken), percentile(taken, 0.99)
    return f"median {1000 * middle:.1f} ms, 99th {1000 * late:.1f} ms"


Answer = Callable[[int], Clip]
"""The clip for the press of that number."""


def presses(
    player: Player, count: int, pause: tuple[float, float], answer: Answer | None = None
) -> list[float]:
    """Seconds from each press to the first sample, at random moments; without an `answer` the
    clip is in hand."""
    clip = EmbeddedVoice().render(SENTENCE, "en")
    chance = random.Random(1)
    taken = []
    for number in range(count):
        time.sleep(chance.uniform(*pause))
        begun = time.perf_counter()
        playback = player.play(answer(number) if answer else clip)
        assert playback.wait_until_started(5)
        taken.append(time.perf_counter() - begun)
    return taken


def times() -> list[str]:
    """A sentence for each five-minute time of twelve hours."""
    return [
        f"The next performance is at {hour}:{minute:02}, and it is the Pear Dance."
        for hour in range(1, 13)
        for minute in range(0, 60, 5)
    ]


def endless(store: ClipStore, until: threading.Event) -> None:
    """Keep the store's background busy with what nobody has asked for yet."""
    chance = random.Random(2)
    while not until.wait(0.05):
        store.expected((f"{chance.random()} {text}", "en") for text in times())


def stored(busy: bool) -> tuple[list[float], list[float]]:
    """Seconds of presses on clips that are there, and on ones that are not."""
    store, player, done = ClipStore(EmbeddedVoice()), DevicePlayer(NullCard()), threading.Event()
    store.clip(SENTENCE, "en")
    crowd = threading.Thread(target=endless, args=(store, done))
    if busy:
        crowd.start()
    pause = (0.02, 0.06)
    warm = presses(player, 200, pause, lambda _: store.clip(SENTENCE, "en"))
    cold = presses(player, 80, pause, lambda n: store.clip(f"{n} left. {SENTENCE}", "en"))
    done.set()
    if busy:
        crowd.join()
    player.close()
    store.close()
    return warm, cold


def storing() -> Iterator[Row]:
    """Presses with the store's background idle and busy."""
    for busy in (False, True):
        warm, cold = stored(busy)
        while_ = "others are rendered" if busy else "nothing else is"
        yield Row(
            f"press to first sample, clip in the store, while {while_}, 99th percentile",
            1000 * percentile(warm, 0.99),
            "ms",
            20,
            spread(warm),
        )
        yield Row(
            f"press to first sample, no clip yet, while {while_}, 99th percentile",
            1000 * percentile(cold, 0.99),
            "ms",
            None,
            f"rendered, levelled and played at the press; {spread(cold)}",
        )


def rendering() -> Iterator[Row]:
    voice = EmbeddedVoice()
    voice.render("x", "en")
    begun = time.perf_counter()
    sound = sum(voice.render(text, "en").seconds for text in times())
    taken = time.perf_counter() - begun
    yield Row(
        "144 sentences rendered",
        taken,
        "s",
        None,
        f"{1000 * taken / 144:.1f} ms each, {sound:.0f} s of sound; measured, levelled and faded",
    )


def share_of_a_core(for_s: float) -> float:
    """What this process computes while it does nothing, in percent."""
    used, begun = time.process_time(), time.perf_counter()
    threading.Event().wait(for_s)
    return 100 * (time.process_time() - used) / (time.perf_counter() - begun)


def answering() -> Iterator[Row]:
    player = DevicePlayer(NullCard())
    awake = presses(player, PRESSES, (0.015, 0.035))
    player.close()
    player = DevicePlayer(NullCard(), patience=Patience(rest=0.02, stuck=2))
    asleep = []
    for _ in range(40):
        player.stop()
        while not player.resting:
            time.sleep(0.005)
        asleep += presses(player, 1, (0, 0.01))
    player.close()
    whole, render = json.loads(child(PEER, str(PRESSES // 4), SENTENCE))
    yield Row(
        "press to first sample, 99th percentile",
        1000 * percentile(awake, 0.99),
        "ms",
        20,
        f"null card, clip ready, {PRESSES} presses; {spread(awake)};"
        f" rendering at each press with pyttsx3, file and all: {spread(whole)}",
    )
    yield Row(
        "the same when the stream rested",
        1000 * percentile(asleep, 0.99),
        "ms",
        20,
        f"{len(asleep)} presses; {spread(asleep)}",
    )
    voice = EmbeddedVoice()
    yield Row(
        "a sentence rendered",
        1000 * seconds(lambda: voice.render(SENTENCE, "en"), 30),
        "ms",
        None,
        "trimmed and levelled, in memory; pyttsx3 to a file and read back:"
        f" {1000 * statistics.median(render):.1f} ms",
    )


def waiting() -> Iterator[Row]:
    player = DevicePlayer(NullCard(), patience=Patience(rest=60))
    time.sleep(0.5)
    pulling = share_of_a_core(5)
    player.close()
    player = DevicePlayer(NullCard(), patience=Patience(rest=0.05))
    time.sleep(0.5)
    resting = share_of_a_core(5)
    player.close()
    yield Row(
        "an idle open card",
        resting,
        "% of a core",
        1,
        f"its stream rests after half a minute; while it pulls silence: {pulling:.2f} %",
    )


def starting() -> Iterator[Row]:
    runs = [json.loads(child(MEMORY)) for _ in range(5)]
    middle = {key: statistics.median(run[key] for run in runs) for key in runs[0]}
    yield Row(
        "voice ready, from nothing",
        1000 * middle["voice"],
        "ms",
        None,
        "import, library, list of voices, first word; median of 5 processes",
    )
    yield Row(
        "null card open, from nothing", 1000 * middle["card"], "ms", None, "most of it the import"
    )
    yield Row(
        "memory of voice, store and player",
        middle["memory"],
        "MB",
        None,
        "resident, beyond a bare interpreter; numpy, which the player's library imports, included",
    )


def rows() -> Iterator[Row]:
    yield from answering()
    yield from storing()
    yield from rendering()
    yield from waiting()
    yield from starting()
