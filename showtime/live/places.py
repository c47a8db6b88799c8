"""Where a stall's days are kept on this computer, when nobody says where."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

from showtime.fair import Stall


def journal_path(stall: Stall, day: date, given: Path | None = None) -> Path:
    """The journal of that day; `given` is that of the first day of a run, and names the others."""
    if given is not None:
        return given.with_name(f"{given.stem}-{day}{given.suffix}")
    return _folder() / f"{_slug(stall.signboard.stall)}-{day}.journal"


def socket_path(stall: Stall) -> Path:
    """Where the stall's running day hears orders."""
    return _folder() / f"{_slug(stall.signboard.stall)}.socket"


def hall_socket_path(fair: str) -> Path:
    """Where the organiser of that fair hears orders."""
    return _folder() / f"hall-{_slug(fair)}.socket"


def _folder() -> Path:
    from platformdirs import user_data_path

    return user_data_path("showtime")


def _slug(name: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:40] or "stall"
