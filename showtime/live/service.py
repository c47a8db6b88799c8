"""The systemd unit for this computer, user and settings."""

from __future__ import annotations

import getpass
import grp
import sys
from collections.abc import Sequence
from pathlib import Path

from showtime.live.unit import GROUPS, unit


def unit_of(
    config: Path | None, journal: Path | None, options: Sequence[str] = (), *, network: bool = False
) -> str:
    """A unit that runs `showtime run` as the present user, with the settings and journal given.

    `options` are more of its options; its pages, and the line to the hall, need the `network`.

    Raises UnitError when their paths cannot stand in a unit.
    """
    from platformdirs import user_cache_path, user_data_path, user_log_path

    program = Path(sys.argv[0]).absolute()
    command = [str(program), "run"]
    if config is not None:
        command.append(str(config.absolute()))
    if journal is not None:
        command += ["--journal", str(journal.absolute())]
    command += options
    state = user_data_path("showtime")
    writes = [user_cache_path("showtime"), user_log_path("showtime")]
    if journal is not None:
        writes.append(journal.absolute().parent)
    for folder in (state, *writes):  # one that is not there when it starts stays read-only
        folder.mkdir(parents=True, exist_ok=True)
    known = {each.gr_name for each in grp.getgrall()}
    groups = [group for group in GROUPS if group in known]
    user = getpass.getuser()
    return unit(command, user, state, writes=writes, groups=groups, network=network)
