"""Where on the network the pages can be reached."""

from __future__ import annotations

import socket
import struct
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class PageAddress:
    """An IPv4 address of this machine, and the port of the pages."""

    host: str
    port: int

    @property
    def url(self) -> str:
        return f"http://{self.host}:{self.port}/"


def addresses(port: int, *, lan: bool) -> tuple[PageAddress, ...]:
    """Where a browser finds the pages: on the network, or only on this machine."""
    found = _network() if lan else []
    return tuple(PageAddress(host, port) for host in [*found, "127.0.0.1"])


def network_url(port: int) -> str:
    """Where others find the pages just now: the network may come, or change, after the day began.

    Empty while this machine is in none.
    """
    host = network_host()
    return PageAddress(host, port).url if host else ""


def network_host() -> str:
    """This machine's address where others are; empty while it is in no network."""
    found = _network()
    return found[0] if found else ""


def _network() -> list[str]:
    """This machine's addresses on the networks that it is in, its own loop left out."""
    found = []
    for name in sorted((name for _, name in socket.if_nameindex()), key=_unlikely):
        host = _of_interface(name)
        if host is not None and not host.startswith("127."):
            found.append(host)
    return found


def _unlikely(name: str) -> bool:
    """True for bridges, tunnels and the like: phones at a stall come by Wi-Fi or by a cable."""
    return not name.startswith(("wl", "en", "eth", "usb"))


_SIOCGIFADDR: Literal[0x8915] = 0x8915
"""Linux's netdevice(7): the address of an interface."""


def _of_interface(name: str) -> str | None:
    import fcntl

    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asked = struct.pack("256s", name.encode()[:15])
            answer = fcntl.ioctl(asking.fileno(), _SIOCGIFADDR, asked)
        except OSError:
            return None  # down, or without an address
    return socket.inet_ntoa(answer[20:24])
