"""Where the files are that come with the product, and which settings a command means."""

from __future__ import annotations

from pathlib import Path

from showtime.fair import Where
from showtime.settings.problem import Problem, SettingsError

_PACKAGE = Path(__file__).resolve().parent.parent
_DEMO = "config/tin-orchard.yaml"
_DEMO_FAIR = "config/osierholt-fair.yaml"


def shipped(name: str) -> Path:
    """The path of a file that comes with the product, such as `config/tin-orchard.yaml`.

    Installed, such files lie inside the package; in a checkout, beside it.
    """
    inside = _PACKAGE / name
    return inside if inside.exists() else _PACKAGE.parent / name


def find_config(given: Path | None, folder: Path, *, fair: bool = False) -> Path:
    """The settings that a command means: those given, else the folder's own, else the demo's.

    `fair`: a fair's, not a stall's. Raises SettingsError when the file that was given is not there.
    """
    if given is not None:
        if not given.exists():
            whose = "a fair's file" if fair else "a stall's settings"
            missing = Problem(
                Where(str(given), 1, 1), f"there is no such file; give the path of {whose}"
            )
            raise SettingsError([missing])
        return given
    demo = _DEMO_FAIR if fair else _DEMO
    own = folder / demo
    return own if own.exists() else shipped(demo)
