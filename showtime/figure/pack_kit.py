"""The kit as it lies in a pack: the program for MicroPython boards, and the headers for C++11."""

from __future__ import annotations

from importlib.resources import files

from showtime.figure.kit import decoders, headers

BOARD = ("main.py", "pins.py", "figure.py", "day.py", "answers.py", "pack.py", "player.py")
"""What runs on a MicroPython board beside the decoders; only the first two touch the board."""

PACK_HEADERS = ("showtime_pack.hpp", "showtime_day.hpp")


def kit_files() -> dict[str, str]:
    """Every file of the kit by its name in the pack: short ones, as every card can keep them."""
    python = board() | decoders()
    cpp = headers() | {name: _text(name) for name in PACK_HEADERS}
    for name in tuple(cpp):
        cpp = {each: text.replace(f'"{name}"', f'"{_short(name)}"') for each, text in cpp.items()}
    found = {f"KIT/{name}": text for name, text in python.items()}
    return found | {f"KIT/CPP/{_short(name)}": text for name, text in cpp.items()}


def board() -> dict[str, str]:
    """The program for a MicroPython board, without the decoders: each file's name and text."""
    return {name: _text(name) for name in BOARD}


def _text(name: str) -> str:
    return (files("showtime") / "figure" / "kit" / name).read_text("utf-8")


def _short(header: str) -> str:
    return header.removeprefix("showtime_").removesuffix(".hpp").upper()[:8] + ".HPP"
