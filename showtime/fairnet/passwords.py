"""Password files as mosquitto_passwd writes them: `user:$7$rounds$salt$hash`, a line each.

PBKDF2 (RFC 8018) with HMAC-SHA-512, a salt of 12 bytes, 64 bytes of hash, both in base64; read off
what mosquitto_passwd of mosquitto 2.0 writes, and held against it in the tests.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
import os
import secrets
from collections.abc import Mapping
from pathlib import Path

_ROUNDS = 101
"""What mosquitto_passwd takes; passwords that are made here are too long to be guessed anyway."""

_SALT, _LENGTH = 12, 64
_MOST_ROUNDS = 10_000_000


def new_password() -> str:
    """A password that nobody guesses: 120 random bits, to be typed if it must."""
    raw = base64.b32encode(secrets.token_bytes(15)).decode().lower()
    return "-".join(raw[at : at + 6] for at in range(0, len(raw), 6))


def hashed(password: str, salt: bytes | None = None, rounds: int = _ROUNDS) -> str:
    """What a password file says of the password."""
    salt = secrets.token_bytes(_SALT) if salt is None else salt
    return f"$7${rounds}${_text(salt)}${_text(_hash(password, salt, rounds))}"


def fits(password: str, entry: str) -> bool:
    """True when that is the password of which the file says `entry`."""
    parts = entry.split("$")
    if len(parts) != 5 or parts[:2] != ["", "7"] or not parts[2].isdecimal():
        return False
    rounds = int(parts[2])
    try:
        salt = base64.b64decode(parts[3], validate=True)
        known = base64.b64decode(parts[4], validate=True)
    except (binascii.Error, ValueError):
        return False
    if not 0 < rounds <= _MOST_ROUNDS or len(known) != _LENGTH:
        return False
    return hmac.compare_digest(_hash(password, salt, rounds), known)


def users_in(file: Path) -> dict[str, str]:
    """Every user of the password file, and what it says of the password. OSError: unreadable."""
    users = {}
    for line in file.read_text("utf-8").splitlines():
        user, colon, entry = line.partition(":")
        if colon and not line.startswith("#"):
            users[user] = entry.strip()
    return users


def write_secret(file: Path, text: str) -> None:
    """A file that only its owner may read, from its first moment on."""
    file.unlink(missing_ok=True)
    handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as opened:
        opened.write(text)


def password_file(passwords: Mapping[str, str]) -> str:
    return "".join(f"{user}:{hashed(word)}\n" for user, word in passwords.items())


def _hash(password: str, salt: bytes, rounds: int) -> bytes:
    return hashlib.pbkdf2_hmac("sha512", password.encode(), salt, rounds, _LENGTH)


def _text(raw: bytes) -> str:
    return base64.b64encode(raw).decode("ascii")
