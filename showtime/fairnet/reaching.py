"""How a broker is reached, and in a person's words why it is not."""

from __future__ import annotations

import asyncio
import logging
import secrets
import socket
import ssl
from pathlib import Path
from typing import TYPE_CHECKING

from showtime.fair.hall import Joining
from showtime.fairnet.errors import FairnetError

if TYPE_CHECKING:
    from aiomqtt import Client

_KEEP_ALIVE = 10
"""Seconds; a broker that hears nothing for one and a half of it takes the line for broken (MQTT
3.1.1, 3.1.2.10)."""

_SILENT = logging.getLogger(f"{__name__}.client")
_SILENT.setLevel(logging.CRITICAL + 1)
"""Whatever breaks is told in one line as the line's trouble."""

_BAD_USER = {4, 5, 134, 135}
"""Bad user name or password, not authorised: return codes of MQTT 3.1.1, 3.2.2.3, and the reason
codes that the client library makes of them."""


class Refused(FairnetError):
    """The broker is there and will not have us; trying again soon is of no use."""


def client_of(joining: Joining, who: str, will: tuple[str, bytes] | None) -> Client:
    """A client for one link. Refused: a file that is needed for it cannot be read."""
    from aiomqtt import Client, Will

    last = Will(will[0], will[1], qos=1, retain=True) if will else None
    client = Client(
        joining.broker,
        joining.port,
        username=joining.user or None,
        password=_password(joining.password_file),
        # Up to 23 letters and digits every broker must take (MQTT 3.1.1, 3.1.3.1); a number that
        # nobody can guess, as whoever comes under a name that is there already puts that one out.
        identifier=f"showtime{secrets.token_hex(7)}",
        will=last,
        timeout=5,
        keepalive=_KEEP_ALIVE,
        tls_context=_secret(joining.ca) if joining.ca else None,
        logger=_SILENT,
    )
    client.pending_calls_threshold = 10_000
    return client


def hang_up(client: Client, loop: asyncio.AbstractEventLoop) -> None:
    """Close what the client leaves open when a link does not come about, or breaks."""
    left = client._client.socket()
    if isinstance(left, socket.socket) and left.fileno() >= 0:
        loop.remove_reader(left.fileno())
        loop.remove_writer(left.fileno())
        left.close()


def _password(file: Path | None) -> str | None:
    if file is None:
        return None
    try:
        return file.read_text("utf-8").strip("\r\n")
    except (OSError, UnicodeDecodeError) as error:
        raise Refused(f"{file}: cannot read the password for the fair's line: {error}") from None


def _secret(ca: Path) -> ssl.SSLContext:
    try:
        context = ssl.create_default_context(cafile=str(ca))
    except (OSError, ssl.SSLError) as error:
        raise Refused(f"{ca}: cannot read the certificate of the fair's line: {error}") from None
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    return context


def why_not(error: Exception, joining: Joining) -> str | Refused:
    """Why the line is broken; Refused when the settings have to be mended first."""
    at = f"{joining.broker}:{joining.port}"
    cause = error.__cause__ or error.__context__ or error
    code = getattr(error, "rc", None)
    if getattr(code, "value", code) in _BAD_USER:
        return Refused(
            f"the broker at {at} refuses the user '{joining.user}': wrong name or password, or no "
            "right to be there; mend fairnet: user and password_file"
        )
    if isinstance(cause, ssl.SSLCertVerificationError):
        return Refused(
            f"the broker at {at} shows a certificate that does not fit: {cause.verify_message}; "
            "mend fairnet: ca and broker"
        )
    if isinstance(cause, ssl.SSLError):
        return Refused(f"no secret line to {at}: {cause.reason or cause}; mend fairnet: port, ca")
    return f"no line to the fair's broker at {at}: {str(cause) or type(cause).__name__}"
