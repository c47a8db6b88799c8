"""What every request must be before anything looks at it, and what every answer carries."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

BODY = 4096
"""Bytes: no form here is longer."""

PATIENCE = 8.0
"""Seconds that a browser has for its body, and to take each part of an answer."""

_HEADERS = (
    (
        b"content-security-policy",
        b"default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
        b"connect-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'",
    ),
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), geolocation=(), microphone=()"),
)


class Guard:
    """Refuses foreign hosts and origins, other methods, bodies that are too long or too slow."""

    def __init__(self, app: ASGIApp, names: Iterable[str]) -> None:
        self._app = app
        self._names = frozenset(names)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":  # the server's own beginning and end
            await self._app(scope, receive, send)
            return
        head = [(name.lower(), value) for name, value in scope["headers"]]
        wrong = self._wrong(scope, head)
        if wrong is not None:
            await _refuse(send, *wrong)
            return
        body = b""
        if scope["method"] == "POST":
            try:
                read = await asyncio.wait_for(_body(receive), PATIENCE)
            except TimeoutError:
                await _refuse(send, 408, "too slow")
                return
            if read is None:
                await _refuse(send, 413, "too long")
                return
            body = read
        await self._app(scope, _given(body, receive), _sealed(send))

    def _wrong(self, scope: Scope, head: list[tuple[bytes, bytes]]) -> tuple[int, str] | None:
        hosts = [value.decode("latin-1") for name, value in head if name == b"host"]
        if len(hosts) != 1 or not self._is_ours(hosts[0], scope):
            return 421, "not the name of this stall"
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return 405, "not done here"
        lengths = [value for name, value in head if name == b"content-length"]
        if any(not each.isdigit() or int(each[:12]) > BODY for each in lengths):
            return 413, "too long"
        if scope["method"] == "POST" and not _from_here(hosts[0], head):
            return 403, "not asked from these pages"
        return None

    def _is_ours(self, host: str, scope: Scope) -> bool:
        """A name that was given, or the very address that was called. Any other name may be one
        that a stranger's page has bent to this machine."""
        name, _, port = host.rpartition(":") if ":" in host else (host, "", "")
        called = (scope.get("server") or ("",))[0]
        own_port = (scope.get("server") or ("", 0))[1]
        return name.lower() in self._names | {called} and port in ("", str(own_port))


def _from_here(host: str, head: list[tuple[bytes, bytes]]) -> bool:
    """True when the browser says that a form was sent from a page of ours."""
    told = {name: value.decode("latin-1") for name, value in head}
    if told.get(b"sec-fetch-site", "same-origin") != "same-origin":
        return False
    origin = told.get(b"origin") or told.get(b"referer", "")
    parts = urlsplit(origin)
    return parts.scheme == "http" and parts.netloc == host


async def _body(receive: Receive) -> bytes | None:
    """The body; None when it is too long, or nobody is left to send it."""
    body: bytes = b""
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            return None
        part: bytes = message.get("body", b"")
        body += part
        if len(body) > BODY:
            return None
        if not message.get("more_body"):
            return body


def _given(body: bytes, receive: Receive) -> Receive:
    given = False

    async def again() -> Message:
        nonlocal given
        if given:
            return await receive()
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return again


def _sealed(send: Send) -> Send:
    async def sealed(message: Message) -> None:
        if message["type"] == "http.response.start":
            message = {**message, "headers": [*message.get("headers", ()), *_HEADERS]}
        # Who does not take what it asked for holds up nobody but itself, and not for long.
        await asyncio.wait_for(send(message), PATIENCE)

    return sealed


async def _refuse(send: Send, status: int, why: str) -> None:
    sealed, body = _sealed(send), f"{why}\n".encode()
    head = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
        (b"connection", b"close"),
    ]
    await sealed({"type": "http.response.start", "status": status, "headers": head})
    await sealed({"type": "http.response.body", "body": body})
