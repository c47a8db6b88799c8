"""What a pack costs: the keeper's wait, the card's room, and the controller's."""

from __future__ import annotations

import os
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from showtime.figure import Packed, Wanted, make_pack, wrong_with
from showtime.live import Desk
from tests.bench.row import Row

DAY = "2027-02-13"


def packs(folder: Path) -> Iterator[Row]:
    desk = Desk.of(None)
    desk.plan(desk.day(DAY), 60.0)  # planned before, as after any other command
    begun, processor = time.perf_counter(), time.process_time()
    packed = make_pack(desk, folder, Wanted(), day=DAY)
    took, own = time.perf_counter() - begun, time.process_time() - processor
    yield Row(
        "pack of the demo day",
        took,
        "s",
        10,
        f"{own:.1f} s of the processor; {packed.bytes / 1e6:.1f} MB, {packed.clips} clips,"
        f" {packed.seconds_of_sound / 60:.1f} minutes, {packed.sentences} sentences",
    )
    yield Row(
        "size of the demo day's pack",
        packed.bytes / 1e6,
        "MB",
        16,
        f"{packed.files} files; at least {packed.fewest} sentences for each start",
    )
    yield from sparing(desk, packed, folder)
    begun = time.perf_counter()
    wrong = wrong_with(desk, folder)
    yield Row(
        "that pack verified",
        time.perf_counter() - begun,
        "s",
        None,
        f"every sentence read back; {len(wrong)} things wrong",
    )


def sparing(desk: Desk, packed: Packed, folder: Path) -> Iterator[Row]:
    """Against the plain way: each different sentence as a sound of its own."""
    texts = {
        " ".join(token for token in line.split() if token[0] != "-")
        for table in (folder / "WORDS").glob("[L]*.CSV")
        for line in table.read_text().splitlines()[1:]
    }
    lasts = {
        line.split(",")[0]: int(line.split(",")[1])
        for line in (folder / "CLIPS.CSV").read_text().splitlines()[1:]
    }
    whole = sum(lasts[clip] for text in texts for clip in text.split()) / 1000
    yield Row(
        "minutes of sound in the pack",
        packed.seconds_of_sound / 60,
        "min",
        None,
        f"its {len(texts)} different answers as a clip each would take {whole / 60:.0f}",
    )


def boards(folder: Path) -> Iterator[Row]:
    """Under MicroPython, where it is to be had."""
    named = os.environ.get("SHOWTIME_MICROPYTHON")
    if not named:
        return
    here = Path("tests/figure/kit/packs").resolve()
    module = "node_modules/@micropython/micropython-webassembly-pyscript/micropython.mjs"
    script = folder.parent / "script"
    script.write_text("\n".join(["34300 release", *(f"{s} ask" for s in range(34400, 62000, 97))]))
    command = ["node", here / "day_on_the_board.mjs", Path(named) / module, folder, script, "0930"]
    begun = time.perf_counter()
    done = subprocess.run(
        [*map(str, command), str(here / "day_on_the_board.py")],
        capture_output=True,
        text=True,
        check=True,
        timeout=300,
    )
    memory = int(done.stdout.split()[-1])
    yield Row(
        "memory of the kit under MicroPython",
        memory / 1000,
        "kB",
        100,
        f"its program with it; a day of 285 questions in {time.perf_counter() - begun:.1f} s",
    )


def rows() -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place, "pack")
        yield from packs(folder)
        yield from boards(folder)
