"""The systemd unit for this computer, user and settings."""

from __future__ import annotations

import getpass
import grp
import sys
from pathlib import Path

from showtime.live.unit import GROUPS, unit


def unit_of(config: Path | None, journal: Path | None) -> str:
    """A unit that runs `showtime run` as the present user, with the settings and journal given.

    Raises UnitError when their paths cannot stand in a unit.
    """
    from platformdirs import user_cache_path, user_data_path, user_log_path

    program = Path(sys.argv[0]).absolute()
    command = [str(program), "run"]
    if config is not None:
        command.append(str(config.absolute()))
    if journal is not None:
        command += ["--journal", str(journal.absolute())]
    state = user_data_path("showtime")
    writes = [user_cache_path("showtime"), user_log_path("showtime")]
    if journal is not None:
        writes.append(journal.absolute().parent)
    for folder in (state, *writes):  # one that is not there when it starts stays read-only
        folder.mkdir(parents=True, exist_ok=True)
    known = {each.gr_name for each in grp.getgrall()}
    groups = [group for group in GROUPS if group in known]
    return unit(command, getpass.getuser(), state, writes=writes, groups=groups)
