"""The embedded broker, for small fairs: on one machine, beside the organiser's page."""

from __future__ import annotations

import asyncio
import logging
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from showtime.fair.hall import Fair
from showtime.fairnet.errors import INSTALL, FairnetError
from showtime.fairnet.users import make_passwords, users_of
from showtime.fairnet.words import everything, organisers, rights, safe_word

_MOST_LINES = 400
_PATIENCE = 10.0


class Broker:
    """A broker that runs on a thread of its own until it is closed."""

    def __init__(self, settings: Mapping[str, Any], address: str, port: int) -> None:
        self.address, self.port = address, port
        self._settings = settings
        self._ready = threading.Event()
        self._failed = ""
        self._loop: asyncio.AbstractEventLoop | None = None
        self._over: asyncio.Event | None = None
        self._thread = threading.Thread(target=self._run, name="broker", daemon=True)
        self._thread.start()
        self._ready.wait(_PATIENCE)
        if self._failed or not self._ready.is_set():
            why = self._failed or "it does not start"
            raise FairnetError(f"no broker on {address}:{port}: {why}; take another port")

    def close(self) -> None:
        """End it; every stall loses its line, and goes on with its last plan."""
        if self._loop is not None and self._over is not None and self._thread.is_alive():
            self._loop.call_soon_threadsafe(self._over.set)
            self._thread.join(_PATIENCE)

    def _run(self) -> None:
        asyncio.run(self._live())

    async def _live(self) -> None:
        from amqtt.errors import AMQTTError, BrokerError

        from showtime.fairnet.brokerembedded import Embedded

        # It tells of every odd packet at length, with tracebacks, and of what it refuses too.
        logging.getLogger("amqtt").setLevel(logging.CRITICAL)
        self._loop, self._over = asyncio.get_running_loop(), asyncio.Event()
        self._loop.set_exception_handler(_without_lines_that_broke)
        try:
            broker = Embedded(dict(self._settings))
            await broker.start()
        except (AMQTTError, BrokerError, OSError) as error:
            self._failed = str(error.__cause__ or error)
            self._ready.set()
            return
        self._ready.set()
        await self._over.wait()
        await broker.end()


def _without_lines_that_broke(loop: asyncio.AbstractEventLoop, context: dict[str, Any]) -> None:
    """A stall that goes in the middle of a word is nothing that anybody has to mend."""
    from amqtt.errors import MQTTError, NoDataError, ProtocolHandlerError

    broke = MQTTError | NoDataError | ProtocolHandlerError | OSError
    if not isinstance(context.get("exception"), broke):
        loop.default_exception_handler(context)


@dataclass(frozen=True, slots=True)
class Access:
    """Who may be on the broker: `stalls` are names by their users, `desks` the users that organise.

    `password_file` as `passwords` writes it.
    """

    fair: str
    stalls: Mapping[str, str]
    desks: Sequence[str]
    password_file: Path


def access_of(folder: Path, fair: Fair, desks: Sequence[str] = ("organiser",)) -> Access:
    """Users and passwords for a fair, written into `folder` where they are not there yet."""
    users = users_of(fair)
    return Access(fair.name, users, desks, make_passwords(folder, (*users, *desks)))


def open_broker(
    address: str = "0.0.0.0",
    port: int = 1883,
    access: Access | None = None,
    certificate: tuple[Path, Path] | None = None,
) -> Broker:
    """A broker on this machine. FairnetError: it cannot be had like this.

    Without `access` whoever comes may say anything. `certificate` is one with its key (PEM): with
    it the line is a secret one (TLS). The broker must be reachable inside the hall only.
    """
    if find_spec("amqtt") is None:
        raise FairnetError(INSTALL)
    listener: dict[str, Any] = {
        "type": "tcp",
        "bind": f"{address}:{port}",
        "max_connections": _MOST_LINES,
    }
    if certificate is not None:
        listener |= {"ssl": True, "certfile": certificate[0], "keyfile": certificate[1]}
    if access is None:
        plugins: dict[str, Any] = {f"{_AMQTT}.AnonymousAuthPlugin": {"allow_anonymous": True}}
    else:
        plugins = _plugins(access)
    return Broker({"listeners": {"default": listener}, "plugins": plugins}, address, port)


_AMQTT, _ROOM = "amqtt.plugins.authentication", "showtime.fairnet.brokerrights"


def _plugins(access: Access) -> dict[str, Any]:
    if not access.password_file.is_file():
        raise FairnetError(f"{access.password_file}: there is no such password file")
    writes = {user: [rights(access.fair, safe_word(name))] for user, name in access.stalls.items()}
    writes |= {desk: [organisers(access.fair)] for desk in access.desks}
    return {
        f"{_ROOM}.Users": {"password_file": str(access.password_file), "writes": writes},
        f"{_ROOM}.Rights": {"reads": [everything(access.fair)], "writes": writes},
    }
