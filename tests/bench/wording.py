"""How fast words are found."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from random import Random
from time import thread_time
from zoneinfo import ZoneInfo

from showtime.fair import Signboard
from showtime.settings import parse_yaml, shipped
from showtime.wording import (
    Audit,
    Bank,
    Bar,
    Kind,
    Situation,
    audit,
    choose,
    clock,
    parse_bank,
    times_told,
)
from tests.bench.row import Row, seconds

ZONE = ZoneInfo("Europe/London")
SIGNS = Signboard("Osierholt Curiosity Fair", "The Tin Orchard", "Barnaby Rook", ("en",), ZONE)
NOW = datetime(2027, 2, 13, 14, 12, tzinfo=ZONE)
NEXT = Situation(Kind.NEXT, NOW, SIGNS, at=NOW + timedelta(minutes=18), piece="Frost Bells")
LATE = Situation(Kind.LATE, NOW, SIGNS)
UNSET = Situation(Kind.CLOCK_UNSET, NOW, SIGNS)
ANSWERS = 2000


def answers(bank: Bank, situation: Situation) -> list[float]:
    """Processor milliseconds of each of many answers, one after the other, in order of size."""
    said, random, taken = list[str](), Random(1), list[float]()
    for _ in range(ANSWERS):
        begun = thread_time()
        said.append(choose(bank, situation, said[-200:], random).text)
        taken.append((thread_time() - begun) * 1000)
    return sorted(taken)


def endless_bank(text: str) -> Bank:
    """English, but when late it says one of more than 10^30 sentences, in three templates."""
    before, after = text.split("  late:\n")
    word = "(zero | uno | due | tre | quattro | cinque | sei | sette | otto | nove)"
    templates = "\n".join(f"    - '{word * 30} {tree}.'" for tree in ("oak", "elm", "yew"))
    return parse_bank(f"{before}  late:\n{templates}\n{after[after.index('  changed:') :]}", "en")


def audited(bank: Bank) -> Audit:
    soon = NOW + timedelta(minutes=2)
    told = [Situation(kind, NOW, SIGNS, soon, "Frost Bells", bars=frozenset(Bar)) for kind in Kind]
    every = [each for one in told for each in (one, replace(one, at=None))]
    return audit(bank, every, ("Frost Bells",), 170, Random(1))


def audit_seconds(bank: Bank) -> float:
    taken = []
    for _ in range(3):
        begun = thread_time()
        audited(bank)
        taken.append(thread_time() - begun)
    return min(taken)


def rows() -> Iterator[Row]:
    text = shipped("phrasebanks/en.yaml").read_text(encoding="utf-8")
    yaml = seconds(lambda: parse_yaml(text, "en.yaml"), runs=9) * 1000
    yield Row(
        "the English bank read and proven",
        seconds(lambda: parse_bank(text, "en.yaml"), runs=9) * 1000,
        "ms",
        30,
        f"median of 9, of which YAML {yaml:.1f} ms",
    )
    bank = parse_bank(text, "en.yaml")
    for situation in (NEXT, UNSET):
        taken = answers(bank, situation)
        yield Row(
            f"a sentence chosen, '{situation.kind}'",
            taken[ANSWERS * 99 // 100],
            "ms",
            1,
            f"99th percentile of {ANSWERS} on the processor; median {taken[ANSWERS // 2]:.2f} ms; "
            f"of {bank.count(situation):,} different sentences",
        )
    endless = endless_bank(text)
    taken = answers(endless, LATE)
    yield Row(
        f"a sentence chosen among 10^{len(str(endless.count(LATE))) - 1}",
        taken[ANSWERS * 99 // 100],
        "ms",
        1,
        f"99th percentile of {ANSWERS} on the processor; median {taken[ANSWERS // 2]:.2f} ms; "
        f"counted exactly in {seconds(lambda: endless.count(LATE)) * 1000:.1f} ms",
    )
    yield Row(
        "the English bank audited",
        audit_seconds(bank),
        "s",
        1,
        "least of 3 on the processor: counted, weighed and tried in every situation and mood",
    )
    yield Row("the sentences of 'next' counted", seconds(lambda: bank.count(NEXT)) * 1000, "ms")
    sentence = choose(bank, NEXT, [], Random(1)).text
    yield Row(
        "a sentence read back",
        seconds(lambda: [times_told(sentence, "en") for _ in range(1000)]) * 1000,
        "µs",
    )
    yield Row(
        "every idiom of all 1,440 minutes",
        seconds(lambda: [clock("en").idioms(*divmod(minute, 60)) for minute in range(1440)]) * 1000,
        "ms",
    )
