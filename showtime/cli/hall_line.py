"""The line between the stalls: a broker that is there, one of our own, or settings for one."""

from __future__ import annotations

import re
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

import click

from showtime.cli.options import say

if TYPE_CHECKING:
    from showtime.fair.hall import Fair, Joining

USER = "organiser"

PLAIN, SECRET = 1883, 8883
"""The ports that IANA has registered for MQTT, in the clear and with TLS."""


def host_and_port(option: str, text: str, otherwise: int = PLAIN) -> tuple[str, int]:
    """What `192.168.1.20:1883` means. UsageError: nothing."""
    found = re.fullmatch(r"(\[[0-9a-fA-F:.]+\]|[^:\s]+)(?::(\d{1,5}))?", text.strip())
    port = int(found[2] or otherwise) if found else 0
    if found is None or not 0 < port < 65536:
        raise click.UsageError(f"{option} {text}: write it like 192.168.1.20:{otherwise}")
    return found[1].strip("[]"), port


def joining_of(
    at: str, user: str, password_file: Path | None, ca: Path | None, line: Path | None
) -> Joining:
    """A broker that is there. What is not named comes from the folder that --setup wrote."""
    from showtime.fair.hall import Joining

    if line is not None:
        user = user or USER
        password_file = password_file or line / "passwords" / f"{user}.txt"
        theirs = line / "fair-ca.pem"
        ca = ca or (theirs if theirs.is_file() else None)
    host, port = host_and_port("--at", at or "127.0.0.1", SECRET if ca else PLAIN)
    return Joining(host, port, user, password_file, ca)


def broker_here(
    fair: Fair, line: Path | None, listen: str, *, lan: bool, closing: ExitStack
) -> Joining:
    """A broker of our own, and how it is joined. FairnetError: it cannot be had."""
    from showtime.faces.pages import network_host
    from showtime.fair.hall import Joining
    from showtime.fairnet import access_of, open_broker

    folder = line or _folder(fair.name)
    made = folder / "broker.pem", folder / "broker.key"
    secret = all(each.is_file() for each in made)
    everywhere = "0.0.0.0" if lan else "127.0.0.1"
    address, port = host_and_port("--listen", listen or everywhere, SECRET if secret else PLAIN)
    access = access_of(folder, fair, (USER,))
    broker = open_broker(address, port, access, made if secret else None)
    closing.callback(broker.close)
    for told in _told(folder, next(iter(access.stalls)), address, port, secret=secret):
        say(told)
    # A certificate is for the address by which the stalls know the broker.
    near = address if address != "0.0.0.0" else (secret and network_host()) or "127.0.0.1"
    word = folder / "passwords" / f"{USER}.txt"
    return Joining(near, port, USER, word, folder / "fair-ca.pem" if secret else None)


def _told(folder: Path, user: str, address: str, port: int, *, secret: bool) -> list[str]:
    from showtime.faces.pages import network_host

    found = network_host() if address == "0.0.0.0" else address
    ca = ", ca: fair-ca.pem" if secret else ""
    lines = [
        f"The stalls' broker: {found or address}:{port}. Each stall is handed its own file of",
        f"{folder / 'passwords'} and writes into its settings, each with its own user:",
        f"  fairnet: {{broker: {found or address}, port: {port}, user: {user}, "
        f"password_file: {user}.txt{ca}}}",
    ]
    if address.startswith("127."):
        lines.append("Only this machine reaches it; --lan lets the network's stalls in.")
    elif not secret:
        lines.append("Nothing on it is secret from others on this network, the passwords included.")
    return lines


def set_up(fair: Fair, config: Path | None, folder: Path, at: str) -> None:
    """Write mosquitto's settings for this fair, and say what is next; `config` as it was named."""
    from showtime.faces.pages import network_host
    from showtime.fairnet import mosquitto_setup

    address, port = host_and_port("--at", at or network_host() or "127.0.0.1", SECRET)
    made = mosquitto_setup(folder, fair, address, port=port, desks=(USER,), secret=port != PLAIN)
    say(f"Written to {folder}: what a mosquitto at {address}:{port} needs for {fair.name}. Now:")
    if made.certificates is not None:
        say(f"  cd {folder} && sh {made.certificates.name}")
    say(f"  mosquitto -c {made.settings}")
    named = f"{config} " if config else ""
    say(f"  showtime hall {named}--at {address}:{port} --line {folder}")
    say(f"What each stall is handed, and the rest, stands in {made.instructions}")


def _folder(fair: str) -> Path:
    from platformdirs import user_data_path

    word = re.sub(r"[^a-z0-9]+", "-", fair.lower()).strip("-")[:40] or "fair"
    return user_data_path("showtime") / f"line-{word}"
