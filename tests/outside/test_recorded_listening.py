"""A recorded voice, from the script to the ear of a machine that never saw this project.

Listener: CMU PocketSphinx, as in test_listening. The reader is the embedded voice, which reads the
script as a person would, with pauses, breaths and a room's noise; what is cut from that and joined
must be understood no worse than the same voice when it speaks each time in one go.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from showtime.fair import Stall
from showtime.live.hearing import usual
from showtime.voice import Clip, EmbeddedVoice, Voice
from showtime.voice.listening import listened
from showtime.voice.recorded import RecordedVoice, Room, Wanted, cut, keep, read_out
from showtime.wording import Bank, Kind, script_of, situations_of, stretches
from showtime.wording.expansion import read_expansion


class Nobody:
    """Says nothing in place of what was not recorded."""

    def render(self, text: str, language: str) -> Clip:
        raise AssertionError(f"not recorded: {text}")


@pytest.fixture
def bank(full: bool, english: Bank) -> Bank:
    """The demo's bank in a full run, one that only tells times otherwise."""
    if full:
        return english
    template = english.templates[Kind.NEXT][0]
    only = replace(template, expansion=read_expansion("at <time>.").expansion)
    return replace(english, rules={}, templates=dict.fromkeys(Kind, ()) | {Kind.NEXT: (only,)})


def recorded(bank: Bank, stall: Stall, folder: Path) -> Voice:
    """The bank's script, read out, cut and kept."""
    script = script_of(bank, list(situations_of(stall)), worth=0.01)
    wanted = [Wanted(n, each.text, each.seconds) for n, each in enumerate(script.fragments, 1)]
    reading = read_out([w.text for w in wanted], EmbeddedVoice(), "en", Room(noise=0.0006))
    found = cut(reading.clip, wanted, lambda text: EmbeddedVoice("en-gb").render(text, "en"))
    assert not found.not_read and not found.beside and not found.read_again
    keep(folder, "en", {take.wanted.text: take.clip for take in found.takes})
    print(f"{len(wanted)} fragments, {found.seconds / 60:.1f} minutes of reading")
    return RecordedVoice(folder, stretches, Nobody())


def test_a_voice_put_together_is_understood_like_one_in_one_piece(
    bank: Bank,
    tin_orchard: Stall,
    tmp_path: Path,
    full: bool,
    record_property: Callable[[str, object], None],
) -> None:
    every = usual(bank.clock)
    spoken = {f"at {time}.": meaning for time, meaning in list(every.items())[:: 1 if full else 6]}
    expected = {f"at {time}.": meaning for time, meaning in every.items()}
    joined = recorded(bank, tin_orchard, tmp_path)
    right = {}
    for name, voice in (("one piece", EmbeddedVoice()), ("joined", joined)):
        heard = list(listened(voice, spoken, expected, (None,)))
        right[name] = sum(each.right for each in heard)
        wrong = [f"{each.spoken!r} as {each.heard!r}" for each in heard if not each.right]
        print(f"{name}: heard right {right[name]} of {len(spoken)}", *wrong, sep="\n  ")
        record_property(name, right[name])
    # The synthesiser never says a thing twice in quite the same way: either voice loses a time now
    # and then that it does not lose at another.
    assert right["joined"] >= right["one piece"] - (2 if full else 1)
    assert right["joined"] >= 0.95 * len(spoken)
