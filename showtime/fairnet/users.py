"""Who is on a fair's line: a user for each stall, and those who organise."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from pathlib import Path

from showtime.fair.hall import Fair
from showtime.fairnet.errors import FairnetError
from showtime.fairnet.passwords import fits, new_password, password_file, users_in, write_secret

_SAFE = re.compile(r"[a-z0-9][a-z0-9-]{0,40}", re.ASCII)


def users_of(fair: Fair) -> dict[str, str]:
    """Every stall's user, and the stall that it speaks for.

    The user that the stall's own settings name (fairnet: user), else its name in small letters. No
    two stalls share one. FairnetError: two name the same, or one that is no user.
    """
    users: dict[str, str] = {}
    for stand in fair.stands:
        joining = stand.stall.joining
        user = joining.user if joining and joining.user else _plain(stand.name)
        if not joining or not joining.user:
            user = _free(user, users)
        if user in users:
            raise FairnetError(f"{users[user]} and {stand.name} both join as '{user}'")
        if not user.isprintable() or set(user) & set(":#+/") or user != user.strip():
            raise FairnetError(f"{stand.name}: '{user}' is no name for a user; write letters and -")
        users[user] = stand.name
    return users


def _plain(name: str) -> str:
    word = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:30]
    return word if _SAFE.fullmatch(word) else "stall"


def _free(user: str, taken: Mapping[str, str]) -> str:
    numbers = range(2, len(taken) + 3)
    return next(each for each in (user, *(f"{user}-{n}" for n in numbers)) if each not in taken)


def make_passwords(folder: Path, users: Iterable[str]) -> Path:
    """A password for each user: the file for the broker, and one to hand to each of them.

    Those that have one already in `folder` keep it. All are readable by their owner alone.
    """
    handed = folder / "passwords"
    try:
        handed.mkdir(mode=0o700, parents=True, exist_ok=True)
        words = {user: _password(handed / f"{user}.txt") for user in users}
        file = folder / "password-file"
        known = users_in(file) if file.is_file() else {}
        kept = known.keys() == words.keys() and all(fits(words[u], known[u]) for u in words)
        if not kept:
            write_secret(file, password_file(words))
    except OSError as error:
        raise FairnetError(f"{folder}: cannot write the passwords: {error.strerror}") from None
    return file


def _password(file: Path) -> str:
    if file.is_file() and (known := file.read_text("utf-8").strip()):
        file.chmod(0o600)
        return known
    word = new_password()
    write_secret(file, f"{word}\n")
    return word
