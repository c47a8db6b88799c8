"""The keeper's telephone is taken as it was typed, and the neighbours are known by name."""

from __future__ import annotations

from pathlib import Path

import pytest

from showtime.settings import SettingsError, load_stall

STALL = """\
fair: Fair
stall: Stall
figure: Figure
timezone: Europe/London
days: [{date: 2027-02-13, opens: 10:00, closes: 12:00}]
pieces: [{name: Bells, lasts: 5 min}]
neighbours: [{name: The Lantern Cart, distance: 3 m}]
"""


@pytest.mark.parametrize("typed", ["01632 960 017", "+44 (0)1632-960017", "007", "'#1 <b>'"])
def test_a_phone_is_printed_as_it_was_typed(tmp_path: Path, typed: str) -> None:
    file = tmp_path / "stall.yaml"
    file.write_text(STALL + f"keeper: {{phone: {typed}}}\n")
    stall = load_stall(file)
    assert stall.phone == typed.strip("'")
    assert [(each.name, each.distance_m) for each in stall.neighbours] == [("The Lantern Cart", 3)]


def test_a_phone_that_is_a_letter_is_refused(tmp_path: Path) -> None:
    file = tmp_path / "stall.yaml"
    file.write_text(STALL + f"keeper: {{phone: {'1' * 41}}}\n")
    with pytest.raises(SettingsError, match=r"stall\.yaml:8:17: this is longer than 40"):
        load_stall(file)
