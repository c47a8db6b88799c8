"""What is plugged into this machine."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from showtime.triggers.keyboards import Found, Keyboards, LinuxKeyboards
from showtime.triggers.serialport import ports_there


@dataclass(frozen=True, slots=True)
class Plugged:
    """Keyboards and what presents itself as one; serial lines, each with what is at the other end.

    `no_clickers` and `no_pins` say why these cannot be used here; empty when they can.
    """

    keyboards: tuple[Found, ...]
    ports: tuple[tuple[str, str], ...]
    no_clickers: str = ""
    no_pins: str = ""


def plugged_in(keyboards: Keyboards | None = None, root: Path = Path("/")) -> Plugged:
    """What is there now. `root` is where /dev is."""
    found = tuple((keyboards or LinuxKeyboards(root)).there())
    pins = any((root / "dev").glob("gpiochip*"))
    return Plugged(
        found,
        tuple(ports_there()),
        "" if find_spec("evdev") else _missing("evdev"),
        _missing("gpiozero") if not find_spec("gpiozero") else "" if pins else "no pins here",
    )


def _missing(library: str) -> str:
    return f"{library} is not installed here: pip install 'showtime[inputs]'"
