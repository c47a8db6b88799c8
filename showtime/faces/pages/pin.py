"""The keeper's PIN: kept as a hash in the user's own folder, where nobody else reads it."""

from __future__ import annotations

import hashlib
import json
import os
import secrets
from dataclasses import dataclass
from pathlib import Path

LEAST, MOST = 6, 12

_COST = {"n": 2**14, "r": 8, "p": 5}
"""scrypt (RFC 7914) with the least cost that OWASP's Password Storage Cheat Sheet names for 16 MiB
of memory, from memory: about a quarter of a second on a small computer."""

_MEMORY = 64 * 1024 * 1024


def unfit(pin: str) -> str:
    """What is wrong with a new PIN; empty when it will do."""
    if not (pin.isascii() and pin.isdigit() and LEAST <= len(pin) <= MOST):
        return f"a PIN has {LEAST} to {MOST} digits"
    steps = {(int(b) - int(a)) % 10 for a, b in zip(pin, pin[1:], strict=False)}
    if len(steps) == 1 and steps <= {0, 1, 9}:
        return "that one is guessed first; take digits that do not run in order"
    return ""


@dataclass(frozen=True, slots=True)
class PinFile:
    """Where the hash is kept. Nothing here prints or logs a PIN."""

    path: Path

    @classmethod
    def of_this_user(cls) -> PinFile:
        from platformdirs import user_config_path

        return cls(user_config_path("showtime") / "keeper.pin")

    @property
    def mark(self) -> str:
        """Changes whenever the PIN is set; empty while there is none."""
        kept = self._kept()
        return str(kept["hash"]) if kept else ""

    def set(self, pin: str) -> None:
        """Keep this PIN. OSError: the folder cannot be written to."""
        salt = secrets.token_bytes(16)
        kept = {"salt": salt.hex(), "hash": _hashed(pin, salt), **_COST}
        self.path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        fresh = self.path.with_suffix(".new")
        fresh.unlink(missing_ok=True)
        writing = os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(writing, "w") as file:
            json.dump(kept, file)
        fresh.replace(self.path)

    def fits(self, pin: str) -> bool:
        """True for the PIN that was set. Takes its time, whatever the PIN."""
        kept = self._kept()
        if not kept or len(pin) > MOST:
            return False
        return secrets.compare_digest(
            _hashed(pin, bytes.fromhex(str(kept["salt"]))), str(kept["hash"])
        )

    def _kept(self) -> dict[str, object]:
        try:
            kept = json.loads(self.path.read_text())
        except (OSError, ValueError):
            return {}
        known = isinstance(kept, dict) and {"salt", "hash"} <= kept.keys()
        return kept if known else {}


def _hashed(pin: str, salt: bytes) -> str:
    return hashlib.scrypt(pin.encode(), salt=salt, maxmem=_MEMORY, dklen=32, **_COST).hex()
