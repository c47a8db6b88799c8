"""What a mosquitto broker needs to be a fair's: settings, rights, passwords, certificates."""

from __future__ import annotations

import ipaddress
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from showtime.fair.hall import Fair
from showtime.fairnet.errors import FairnetError
from showtime.fairnet.strict import LARGEST
from showtime.fairnet.users import make_passwords, users_of
from showtime.fairnet.words import everything, organisers, rights, safe_word

PLAIN, SECRET = 1883, 8883

_DAYS = 60
"""So long the certificates of a fair are good for."""


@dataclass(frozen=True, slots=True)
class MosquittoSetup:
    """The files that were written; `passwords` is the folder with one to hand to each user."""

    settings: Path
    rights: Path
    password_file: Path
    passwords: Path
    certificates: Path | None
    instructions: Path


def mosquitto_setup(
    folder: Path,
    fair: Fair,
    address: str,
    *,
    port: int | None = None,
    desks: Sequence[str] = ("organiser",),
    secret: bool = True,
) -> MosquittoSetup:
    """Write into `folder` all that a mosquitto at `address` needs to be the broker of the fair.

    `desks` are the users that organise. With `secret` the line is TLS, for which a script makes the
    certificates. Passwords that are there already stay. FairnetError: it cannot be written.
    """
    folder, users = folder.resolve(), users_of(fair)
    if clash := set(users) & set(desks):
        raise FairnetError(f"'{clash.pop()}' is the user of a stall; let organisers have another")
    made = MosquittoSetup(
        folder / "mosquitto.conf",
        folder / "rights",
        make_passwords(folder, (*users, *desks)),
        folder / "passwords",
        folder / "certificates.sh" if secret else None,
        folder / "READ-ME.txt",
    )
    port = port or (SECRET if secret else PLAIN)
    try:
        made.settings.write_text(_settings(made, address, port), "utf-8")
        made.rights.write_text(_rights(fair.name, users, desks), "utf-8")
        made.rights.chmod(0o600)
        if made.certificates:
            made.certificates.write_text(_certificates(fair.name, address), "utf-8")
        made.instructions.write_text(_instructions(made, address, port, users, desks), "utf-8")
    except OSError as error:
        raise FairnetError(f"{folder}: cannot write there: {error.strerror}") from None
    return made


def _settings(made: MosquittoSetup, address: str, port: int) -> str:
    folder = made.settings.parent
    lines = [
        "# The broker of a fair's line. Keep it reachable inside the hall only.",
        f"listener {port} {address}",
        "allow_anonymous false",
        f"password_file {made.password_file}",
        f"acl_file {made.rights}",
        f"message_size_limit {LARGEST}",
        "max_queued_messages 10000",
        "set_tcp_nodelay true",
        "persistence false",
    ]
    if made.certificates:
        lines += [
            f"certfile {folder / 'broker.pem'}",
            f"keyfile {folder / 'broker.key'}",
            "tls_version tlsv1.2",
        ]
    return "\n".join(lines) + "\n"


def _rights(fair: str, users: dict[str, str], desks: Sequence[str]) -> str:
    """A section a user: it reads the whole fair, and writes below its own word alone."""
    sections = [
        f"user {user}\ntopic read {everything(fair)}\ntopic write {where}\n"
        for user, where in [
            *((desk, organisers(fair)) for desk in desks),
            *((user, rights(fair, safe_word(name))) for user, name in users.items()),
        ]
    ]
    return "\n".join(["# Who may say what on the fair's line.", "", *sections])


def _certificates(fair: str, address: str) -> str:
    """A script for openssl: an authority of the fair's own, and the broker's certificate by it."""
    try:
        also = f"IP:{ipaddress.ip_address(address)}"
    except ValueError:
        also = f"DNS:{address}"
    word = "".join(each for each in fair if each.isascii() and (each.isalnum() or each == " "))
    key = "-newkey rsa:2048 -nodes -sha256"
    return f"""#!/bin/sh
# Makes fair-ca.pem, which every stall needs a copy of (fairnet: ca), and the broker's own
# certificate with its key. Run it in this folder. What ends in .key never leaves this machine.
set -e
umask 077
openssl req -x509 {key} -days {_DAYS} -subj "/CN={word.strip() or "The fair"}" \\
    -addext "keyUsage=critical,keyCertSign,cRLSign" -keyout fair-ca.key -out fair-ca.pem
openssl req {key} -subj "/CN={address}" -keyout broker.key -out broker.csr
cat > broker.ext <<'END'
subjectAltName={also}
basicConstraints=critical,CA:FALSE
keyUsage=critical,digitalSignature,keyEncipherment
extendedKeyUsage=serverAuth
authorityKeyIdentifier=keyid
END
openssl x509 -req -sha256 -days {_DAYS} -in broker.csr -CA fair-ca.pem -CAkey fair-ca.key \\
    -CAcreateserial -extfile broker.ext -out broker.pem
rm broker.csr broker.ext
chmod 644 fair-ca.pem broker.pem
"""


def _instructions(
    made: MosquittoSetup, address: str, port: int, users: dict[str, str], desks: Sequence[str]
) -> str:
    stalls = "".join(f"  {user}: {name}\n" for user, name in users.items())
    secret = (
        f"""
Certificates: run  sh {made.certificates.name}  in this folder once, and give fair-ca.pem to every
stall. Without them anybody on the network reads along, passwords too.
"""
        if made.certificates
        else """
There are no certificates: anybody on the network reads along, passwords too. Let nobody else in.
"""
    )
    ca = ", ca: fair-ca.pem" if made.certificates else ""
    return f"""A broker for the fair's line
{secret}
Start it:  mosquitto -c {made.settings}
If it runs as another user (mostly mosquitto), that one must own the password-file, rights and
broker.key:  sudo chown mosquitto: password-file rights broker.key

Each stall has a password of its own, in passwords/; hand it that file and nobody else's. In the
stall's settings stands
  fairnet: {{broker: {address}, port: {port}, user: ..., password_file: ...{ca}}}
The users, and the stalls that they may speak for:
{stalls}Organisers: {", ".join(desks)}

To change a password:  mosquitto_passwd password-file USER  and start the broker again.
Keep the broker reachable inside the hall only: no port of it belongs on the internet.
"""
