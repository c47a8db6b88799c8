"""What a recorded voice costs: the maker's evening, and an answer at the stall."""

from __future__ import annotations

import random
import statistics
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from showtime.live.hearing import usual
from showtime.settings import load_stall, shipped
from showtime.voice import EmbeddedVoice
from showtime.voice.listening import listened
from showtime.voice.recorded import RecordedVoice, Wanted, cut, keep, read_out
from showtime.wording import (
    Bank,
    Kind,
    Script,
    Situation,
    choose,
    parse_bank,
    script_of,
    situations_of,
    stretches,
)
from tests.bench.row import Row, seconds

SENTENCES = 60


def scripts(bank: Bank, situations: list[Situation]) -> Iterator[Row]:
    whole = script_of(bank, situations, worth=0.01)
    yield Row(
        "fragments for the English bank",
        len(whole.fragments),
        "fragments",
        None,
        f"the fewest: {whole.fewest}, no fewer than {whole.no_fewer_than};"
        f" joins a sentence {whole.joins:.2f}, with the fewest {whole.joins_of_fewest:.2f};"
        f" about {whole.minutes:.0f} minutes of reading",
    )
    yield Row(
        "the script made",
        1000 * seconds(lambda: script_of(bank, situations, worth=0.01), 3),
        "ms",
        None,
        "all sentences proven to be covered",
    )


def answers(bank: Bank, script: Script, situation: Situation) -> Iterator[Row]:
    wanted = [Wanted(n, each.text, each.seconds) for n, each in enumerate(script.fragments, 1)]
    reading = read_out([each.text for each in wanted], EmbeddedVoice(), "en")
    begun = time.perf_counter()
    found = cut(reading.clip, wanted, lambda text: EmbeddedVoice("en-gb").render(text, "en"))
    took = time.perf_counter() - begun
    yield Row(
        "a recording cut",
        took,
        "s",
        None,
        f"{reading.clip.seconds / 60:.0f} minutes; {len(found.takes)} of {len(wanted)} fragments",
    )
    with tempfile.TemporaryDirectory() as folder:
        keep(Path(folder), "en", {take.wanted.text: take.clip for take in found.takes})
        voice = RecordedVoice(Path(folder), stretches, EmbeddedVoice())
        voice.load("en")
        luck, joined, spoken = random.Random(1), list[float](), list[float]()
        for _ in range(SENTENCES):
            text = choose(bank, situation, (), luck).text
            for times, render in ((joined, voice.render), (spoken, EmbeddedVoice().render)):
                begun = time.perf_counter()
                render(text, "en")
                times.append(time.perf_counter() - begun)
    yield Row(
        "a sentence joined",
        1000 * statistics.median(joined),
        "ms",
        5,
        f"fragments in memory, worst {1000 * max(joined):.1f} ms; the embedded voice renders one in"
        f" {1000 * statistics.median(spoken):.1f} ms",
    )


def heard(bank: Bank) -> Iterator[Row]:
    times = usual(bank.clock)
    begun = time.perf_counter()
    right = sum(each.right for each in listened(EmbeddedVoice(), times, times, (None,)))
    yield Row(
        "five-minute times that a recogniser hears",
        100 * right / len(times),
        "%",
        None,
        f"{right} of {len(times)} (at least 97 % wanted), in {time.perf_counter() - begun:.0f} s",
    )


def rows() -> Iterator[Row]:
    path = shipped("phrasebanks/en.yaml")
    bank = parse_bank(path.read_text("utf-8"), str(path))
    stall = load_stall(shipped("config/tin-orchard.yaml"))
    situations = list(situations_of(stall))
    day = stall.days[0]
    at = day.hours.start + 5 * day.wishes.start_on
    situation = Situation(
        Kind.NEXT, day.hours.start, stall.signboard, at=at, piece=day.pieces[0].name
    )
    yield from scripts(bank, situations)
    yield from answers(bank, script_of(bank, situations, kinds=[Kind.NEXT], worth=0.01), situation)
    yield from heard(bank)
