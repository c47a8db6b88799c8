"""A stall may be called anything; its files can be put on any disk."""

from __future__ import annotations

import unicodedata

from hypothesis import given, settings
from hypothesis import strategies as st

from showtime.faces.hall.names import file_names


def test_ordinary_names_are_easily_found_again() -> None:
    assert file_names(["The Tin Orchard", "Zum Mühlrad", "Le Café d'Été"]) == (
        "The-Tin-Orchard",
        "Zum-Mühlrad",
        "Le-Café-dÉté",
    )


def test_what_means_a_path_is_none() -> None:
    assert file_names(["../../etc/passwd", "a\\b", ".", "..", "", "/", "~", "a\0b"]) == (
        "etc-passwd",
        "a-b",
        "stall",
        "stall-2",
        "stall-3",
        "stall-4",
        "stall-5",
        "a-b-2",
    )


def test_names_that_differ_only_in_capitals_or_accents_are_told_apart() -> None:
    composed, apart = "Café", unicodedata.normalize("NFD", "Café")
    found = file_names(["Orchard", "ORCHARD", composed, apart, "Straße", "STRASSE"])
    assert len({unicodedata.normalize("NFKD", name).casefold() for name in found}) == 6
    assert found[:2] == ("Orchard", "ORCHARD-2")


def test_a_number_that_tells_names_apart_is_not_itself_a_name() -> None:
    found = file_names(["a", "A", "a-2", "A-2"])
    assert len({name.casefold() for name in found}) == 4


def test_devices_of_other_systems_are_not_named() -> None:
    assert file_names(["con", "LPT1", "Console"]) == ("stall-con", "stall-LPT1", "Console")


@settings(max_examples=200, derandomize=True, deadline=None)
@given(st.lists(st.text(max_size=200), max_size=8))
def test_any_names_make_files_that_lie_in_the_folder(names: list[str]) -> None:
    found = file_names(names)
    assert len({unicodedata.normalize("NFKD", name).casefold() for name in found}) == len(names)
    for name in found:
        assert name and not name.startswith((".", "-"))
        assert not set(name) & set('/\\:*?"<>|\0\n\r\t ')
        assert len(f"{name}.json".encode()) <= 255
