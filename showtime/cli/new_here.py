"""What the machine at hand can tell of a new stall: its zone, its language, the time."""

from __future__ import annotations

import locale
import os
import warnings
from contextlib import suppress
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from showtime.settings.newstall import Surroundings


def surroundings() -> Surroundings:
    """All of it, with the languages that there are phrase banks for."""
    from zoneinfo import available_timezones

    from babel import Locale

    from showtime.live.clock.kernel import ThisMachine
    from showtime.settings import shipped
    from showtime.settings.newstall import Surroundings

    codes = [path.stem for path in shipped("phrasebanks").glob("*.yaml")]
    names = {}
    for code in codes:
        known = Locale.parse(code)
        named = (known.get_display_name("en"), known.get_display_name(code))
        names[code] = tuple(name for name in named if name)
    names = dict(sorted(names.items(), key=lambda named: named[1]))
    zones = tuple(sorted(available_timezones()))
    language = _language_here()
    return Surroundings(
        ThisMachine().system(),
        language if language in names else "en",
        _zone_here(zones),
        names,
        zones,
    )


def _language_here() -> str:
    """The language that this machine is set to, as POSIX has it; elsewhere as the system says."""
    named = (os.environ.get(name) for name in ("LC_ALL", "LC_MESSAGES", "LANG"))
    return next(filter(None, named), locale.getlocale()[0] or "")[:2].lower()


def _zone_here(zones: tuple[str, ...]) -> str:
    """The zone that this machine is set to, as far as it can be told."""
    from tzlocal import get_localzone_name

    with warnings.catch_warnings(), suppress(LookupError, ValueError, OSError):
        warnings.simplefilter("ignore")
        named = str(get_localzone_name()).removeprefix("Etc/")
        if named in zones:
            return named
    return "UTC"
