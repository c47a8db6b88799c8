"""The keys that say how a stall joins the fair's line, and the value they become."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from showtime.fair.joining import Joining
from showtime.settings.kinds import Schema, Text, Whole, scalar, short
from showtime.settings.model import Group, optional, required
from showtime.settings.problem import Problems
from showtime.settings.tree import Node

model = dataclass(frozen=True, kw_only=True, eq=False, repr=False)

PLAIN, SECRET = 1883, 8883
"""The ports that IANA lists for MQTT, and for MQTT over TLS (MQTT 3.1.1, 4.2)."""

_LABEL = r"[A-Za-z0-9]([A-Za-z0-9_-]*[A-Za-z0-9])?"
_HOST = rf"^{_LABEL}(\.{_LABEL})*\.?$"
_IPV6 = r"^[0-9A-Fa-f:]*:[0-9A-Fa-f:]*:[0-9A-Fa-f:.]*$"


@dataclass(frozen=True)
class Host:
    """The name or address of a machine, and nothing else."""

    example: str = "192.168.4.1"

    def read(self, node: Node, problems: Problems) -> str | None:
        value = scalar(node, f"the name or address of a machine, such as {self.example}", problems)
        if value is None:
            return None
        text = value.text.strip()
        if re.search(_HOST, text) or re.search(_IPV6, text):
            return text
        problems.add(
            node.where,
            f"'{short(text)}' is no name or address of a machine; {_meant(text, self.example)}",
        )
        return None

    def schema(self) -> Schema:
        return {"type": "string", "anyOf": [{"pattern": _HOST}, {"pattern": _IPV6}]}


def _meant(text: str, example: str) -> str:
    """What to write instead of an address as browsers take it."""
    bare = re.sub(r"^[A-Za-z0-9+.-]+://", "", text).split("/")[0].rpartition("@")[2]
    host, colon, port = bare.partition(":")
    if host != text and re.search(_HOST, host):
        beside = f", and port: {port} beside it" if colon and port.isdigit() else ""
        return f"write {host}{beside}"
    return f"write one such as {example}"


@model
class JoiningGroup(Group):
    example: ClassVar[str] = "{broker: 192.168.4.1, user: tin-orchard, password_file: line.txt}"
    goes_with: ClassVar[dict[str, str]] = {"password_file": "user"}
    broker: str = required(Host(), "the machine that the broker of the fair's line runs on")
    port: int | None = optional(
        Whole(str(SECRET), most=65_535), f"left out: {PLAIN}, or {SECRET} with a ca"
    )
    user: str | None = optional(Text("tin-orchard"), "the name that the broker knows the stall by")
    password_file: str | None = optional(
        Text("line.txt"), "a file with the password alone, beside the stall's settings"
    )
    ca: str | None = optional(
        Text("fair-ca.pem"), "the certificate that the broker's is checked against: TLS"
    )


def joining(group: JoiningGroup | None, folder: Path) -> Joining | None:
    """How the stall joins, if it does; files are meant from `folder`."""
    if group is None:
        return None
    return Joining(
        group.broker,
        group.port or (SECRET if group.ca else PLAIN),
        group.user or "",
        folder / group.password_file if group.password_file else None,
        folder / group.ca if group.ca else None,
        group.where,
    )
