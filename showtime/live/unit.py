"""The systemd unit under which a machine at the stall runs the day by itself."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from showtime.fair import ShowtimeError

_UNIT = """\
[Unit]
Description=Showtime: runs the day of the figure on the stall
After=sound.target time-sync.target local-fs.target
Wants=sound.target
# A machine at a stall never gives up: it is started again however often it takes.
StartLimitIntervalSec=0

[Service]
Type=exec
ExecStart={command}
User={user}
SupplementaryGroups={groups}
WorkingDirectory={folder}
Environment=PYTHONUNBUFFERED=1
StandardInput=null
UMask=0077

# After a fault or a power cut the day goes on where it was, held until the keeper releases it.
# An end that was asked for is an end, and wrong settings (2) do not become right by trying again.
Restart=on-failure
RestartSec=2
RestartPreventExitStatus=2
KillSignal=SIGTERM
TimeoutStopSec=10

# What it may write to; all the rest of the machine is read-only.
{writes}
ProtectSystem=strict
ProtectHome={home}
PrivateTmp=yes

# The sound card, pins, buttons and serial lines, and no other device.
DevicePolicy=closed
{devices}
Nice=-5
LimitRTPRIO=20

{network}

CapabilityBoundingSet=
AmbientCapabilities=
NoNewPrivileges=yes
LockPersonality=yes
ProtectControlGroups=yes
ProtectHostname=yes
ProtectKernelLogs=yes
ProtectKernelModules=yes
ProtectKernelTunables=yes
ProtectProc=invisible
RestrictNamespaces=yes
RestrictSUIDSGID=yes
SystemCallArchitectures=native
# Without ProtectClock: it would forbid asking, too, whether the clock is synchronised. Nothing
# here has the capability to set it.
SystemCallFilter=@system-service adjtimex clock_adjtime clock_adjtime64
SystemCallErrorNumber=EPERM

[Install]
WantedBy=multi-user.target
"""
_NO_NETWORK = """\
# It needs no network: orders come by a socket in its own folder.
PrivateNetwork=yes
RestrictAddressFamilies=AF_UNIX
IPAddressDeny=any"""

_NETWORK = """\
RestrictAddressFamilies=AF_UNIX AF_INET AF_INET6 AF_NETLINK"""

GROUPS = ("audio", "gpio", "input", "dialout")
"""Who may use the sound card, the pins, buttons and serial lines, on the usual small machines."""

_DEVICES = ("char-alsa", "char-gpiochip", "char-input", "char-ttyUSB", "char-ttyACM", "char-ttyAMA")
_OWN = Path("/var/lib")
"""A folder below it is made by systemd when the unit starts, and belongs to the user."""


class UnitError(ShowtimeError):
    """No unit can be made of what was given."""


def unit(
    command: Sequence[str],
    user: str,
    state: Path,
    *,
    folder: Path = Path("/"),
    writes: Sequence[Path] = (),
    groups: Sequence[str] = GROUPS,
    network: bool = False,
) -> str:
    """The unit that runs `command` as `user`, which keeps its journals in `state`.

    `command` begins with the program's full path; `folder` is where it runs, and relative names
    in the command lead on from there. It may write to `state` and to `writes`, which have to be
    there when it starts, unless `state` lies below /var/lib: then it is made, and the program is
    told to keep everything in it. `groups` have to exist on the machine. The settings are those of
    systemd.unit(5), systemd.service(5) and systemd.exec(5), the quoting that of systemd.syntax(7).
    UnitError when a path is not a full one, or a name or a word cannot stand in a unit.
    """
    paths = (state, folder, *writes)
    _refuse_nonsense(command, (user, *groups), paths)
    at_home = any(_in_home(Path(word)) for word in (*command, *map(str, paths)))
    return _UNIT.format(
        command=" ".join([_word(command[0]), *(_word(w).replace("$", "$$") for w in command[1:])]),
        user=user,
        folder=_percent(str(folder)),
        writes=_writes(state, writes),
        home="read-only" if at_home else "yes",
        groups=" ".join(groups),
        devices="\n".join(f"DeviceAllow={device} rw" for device in _DEVICES),
        network=_NETWORK if network else _NO_NETWORK,
    )


def _writes(state: Path, others: Sequence[Path]) -> str:
    # A folder that is not there must not keep the day from running: it is said on the screen.
    lines = [f"ReadWritePaths={_word(f'-{path}')}" for path in others]
    below = str(state.relative_to(_OWN)) if state.is_relative_to(_OWN) else ""
    if not re.fullmatch(r"\w[\w/-]*", below, re.ASCII):
        return "\n".join([f"ReadWritePaths={_word(f'-{state}')}", *lines])
    own = {"XDG_DATA_HOME": state, "XDG_CACHE_HOME": state / "cache", "XDG_STATE_HOME": state}
    told = " ".join(f"{name}={path}" for name, path in own.items())
    return "\n".join([f"StateDirectory={below}", f"Environment={told}", *lines])


def _refuse_nonsense(command: Sequence[str], names: Sequence[str], paths: Sequence[Path]) -> None:
    for path in (Path(command[0]), *paths):
        if not path.is_absolute():
            raise UnitError(f"{path}: a unit needs full paths; give one that begins with /")
    for name in names:
        if not re.fullmatch(r"[A-Za-z_][A-Za-z0-9_.-]*", name):
            raise UnitError(f"{name!r}: not the name of a user or group; give one, such as pi")
    for word in (*command, *map(str, paths)):
        if re.search(r"[\x00-\x1f\x7f]", word):
            raise UnitError(f"{word!r}: a unit cannot name it; rename what has a line break in it")


def _word(text: str | Path) -> str:
    """A word as systemd reads it: quoted where needed, and % doubled."""
    escaped = _percent(str(text).replace("\\", "\\\\").replace('"', '\\"'))
    return escaped if re.fullmatch(r"[\w@%+=:,./$-]+", escaped, re.ASCII) else f'"{escaped}"'


def _percent(text: str) -> str:
    """Text that takes the rest of its line: only % means something in it."""
    return text.replace("%", "%%")


def _in_home(path: Path) -> bool:
    return any(path.is_relative_to(home) for home in ("/home", "/root", "/run/user"))
