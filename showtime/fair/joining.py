"""How a stall joins the line between the stalls of a fair, as its settings say."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from showtime.fair.span import Where


@dataclass(frozen=True, slots=True)
class Joining:
    """The broker that a stall joins by, and what it shows there of who it is.

    The password stands in a file of its own, never among the settings; None: there is none.
    `ca` is the certificate of the authority that the broker's is checked against, and makes the
    line a secret one (TLS); None: all that is said can be read on the way.
    """

    broker: str
    port: int = 1883
    user: str = ""
    password_file: Path | None = None
    ca: Path | None = None
    where: Where | None = field(default=None, compare=False)
