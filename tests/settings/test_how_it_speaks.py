"""How the figure speaks is set for the stall, and otherwise for a language where that is wished."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from showtime.fair import Channels, Chime, Manner, Speaking, Where

VOICE = """\
voice:
  name: en-gb
  rate: 150 words/min
  pitch: 110 %
  volume: 80 %
  device: USB Audio
  channels: left
  chime: rising
  recorded: my-voice
  by_language:
    en: {rate: 130 words/min}
"""


def test_all_of_it_is_read(desk: Any, small_stall: str) -> None:
    speaking = desk.stall(small_stall + VOICE).speaking
    assert speaking == Speaking(
        "en-gb",
        150,
        "USB Audio",
        pitch=110.0,
        volume=80.0,
        channels=Channels.LEFT,
        chime=Chime.RISING,
        recorded=desk.folder / "my-voice",
        by_language={"en": Manner("en-gb", 130, 110.0, 80.0)},
    )


def test_without_it_the_program_chooses(desk: Any, small_stall: str) -> None:
    assert desk.stall(small_stall).speaking == Speaking()
    assert desk.stall(small_stall + "voice: {}\n").speaking == Speaking()


def test_what_a_language_leaves_open_is_as_for_all(desk: Any, small_stall: str) -> None:
    text = desk.changed(("languages: [en]", "languages: [en, de, cy]")) + (
        "voice: {pitch: 90 %, by_language: {de: {name: de, volume: 50 %}, cy: {}}}\n"
    )
    by_language = desk.stall(text).speaking.by_language
    assert by_language == {
        "de": Manner("de", 170, 90.0, 50.0),
        "cy": Manner("", 170, 90.0, 100.0),
    }


def test_the_name_knows_its_line(desk: Any, small_stall: str) -> None:
    path = desk.folder / "stall.yaml"
    lines = len(small_stall.splitlines())
    speaking = desk.stall(
        small_stall + "voice:\n  name: en-uss\n  by_language:\n    en: {name: en-gbb}\n"
    ).speaking
    assert speaking.where == Where(str(path), lines + 2, 9)
    assert speaking.by_language["en"].where == Where(str(path), lines + 4, 16)


def test_a_folder_anywhere_is_taken_as_it_is(desk: Any, small_stall: str) -> None:
    stall = desk.stall(small_stall + "voice: {recorded: /home/keeper/voice}\n")
    assert Path(stall.speaking.recorded) == Path("/home/keeper/voice")


# (what the keeper typed, the mark where the problem must be, words that must be said)
SLIPS = [
    ("voice: {rate: ▸170}", "170 has no unit; a pace is given in words/min"),
    ("voice: {pitch: ▸110}", "110 has no unit; a pitch is given in %, such as 110 %"),
    ("voice: {pitch: ▸2 Hz}", "'2 Hz' is not a pitch in %"),
    ("voice: {pitch: ▸300 %}", "a pitch is from 60 and up to 160 %"),
    ("voice: {volume: ▸0.8}", "0.8 has no unit; a volume is given in %"),
    ("voice: {volume: ▸0 %}", "a volume is from 1 and up to 100 %"),
    ("voice: {volume: ▸120 %}", "a volume is from 1 and up to 100 %"),
    ("voice: {channels: ▸rigth}", "did you mean 'right'?"),
    ("voice: {channels: ▸stereo}", "what can stand here: one, both, left, right"),
    ("voice: {chime: ▸raising}", "did you mean 'rising'?"),
    ("voice: {▸speed: 3}", "there is no key 'speed' here"),
    ("voice: {▸picth: 90 %}", "did you mean 'pitch'?"),
    ("voice: ▸loud", "a group of keys belongs here; write {name: en-gb, rate: 170 words/min}"),
    ("voice: {by_language: ▸de}", "languages with keys belong here; write {de: {name: de"),
    ("voice: {by_language: {en: ▸fast}}", "a group of keys belongs here"),
    ("voice: {by_language: {▸de: {rate: 90 wpm}}}", "'de' is not among the figure's 'languages'"),
    ("voice: {by_language: {▸English: {rate: 90 wpm}}}", "'English' is no language's code"),
    ("voice: {by_language: {en: {rate: ▸90}}}", "90 has no unit; a pace is given in words/min"),
    ("voice: {by_language: {en: {▸device: USB}}}", "there is no key 'device' here"),
]


@pytest.mark.parametrize(("line", "said"), SLIPS, ids=[line for line, _ in SLIPS])
def test_each_slip_is_named_with_its_place(
    desk: Any, small_stall: str, line: str, said: str
) -> None:
    error = desk.complaints(small_stall + line + "\n")
    assert [problem.where for problem in error.problems] == desk.marks, str(error)
    assert said in error.problems[0].message


def test_all_slips_in_it_are_told_together(desk: Any, small_stall: str) -> None:
    error = desk.complaints(
        small_stall + "voice: {rate: ▸1, pitch: ▸2, by_language: {en: {volume: ▸3}}}\n"
    )
    assert [problem.where for problem in error.problems] == desk.marks


def test_a_slip_in_the_languages_is_not_told_twice(desk: Any) -> None:
    text = desk.changed(("languages: [en]", "languages: [en, ▸D!]"))
    error = desk.complaints(text + "voice: {by_language: {de: {rate: 90 wpm}}}\n")
    assert [problem.where for problem in error.problems] == desk.marks


def test_an_answer_may_be_in_several_of_its_languages(desk: Any) -> None:
    text = desk.changed(("languages: [en]", "languages: [en, de, cy]\nanswers_in: [cy, en]"))
    assert desk.stall(text).signboard.spoken == ("cy", "en")
    assert desk.stall(desk.changed()).signboard.spoken == ("en",)


def test_an_answer_is_in_no_language_that_the_figure_has_not(desk: Any) -> None:
    line = desk.complaint(("languages: [en]", "languages: [en, de]\nanswers_in: ▸[en, dt]"))
    assert "'dt' is not among the figure's 'languages'; what can stand here: en, de" in line
