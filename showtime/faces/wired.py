"""What there is to press, turn and walk past, as the keeper who wires it up sees it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any, Protocol

_CALMLY = 250_000
"""Microseconds between two lines about knobs that are being turned."""

_STIRS = 0.01
"""Knobs that read so little else of what they ever read have not been turned."""


class Plugged(Protocol):
    @property
    def keyboards(self) -> Sequence[Any]: ...
    @property
    def ports(self) -> Sequence[tuple[str, str]]: ...
    @property
    def no_clickers(self) -> str: ...
    @property
    def no_pins(self) -> str: ...


class Seen(Protocol):
    @property
    def device(self) -> str: ...
    @property
    def at(self) -> int: ...
    @property
    def sent(self) -> str: ...
    @property
    def meant(self) -> str: ...
    @property
    def trouble(self) -> str: ...
    @property
    def kind(self) -> str: ...
    @property
    def turned(self) -> tuple[int, int] | None: ...


def document(there: Plugged, wired: Iterable[str], troubles: Iterable[str]) -> dict[str, Any]:
    """What is plugged in, what the settings name, and what of that is of no use now."""
    return {
        "keyboards": [{"name": each.name, "path": each.path} for each in there.keyboards],
        "ports": [{"path": path, "what": what} for path, what in there.ports],
        "no_clickers": there.no_clickers,
        "no_pins": there.no_pins,
        "wired": list(wired),
        "troubles": list(troubles),
    }


def lines(document: dict[str, Any]) -> Iterator[str]:
    """The document for a person."""
    keyboards, ports = document["keyboards"], document["ports"]
    if not keyboards and not ports and document["no_pins"]:
        yield "No clicker, serial line or pin is here to be found."
    for each in keyboards:
        yield f"keyboard  {each['name']}"
    for each in ports:
        what = "" if each["what"] in ("n/a", "") else f"  ({each['what']})"
        yield f"serial    {each['path']}{what}"
    yield f"pins      {document['no_pins'] or 'to be had: - {pin: 17, press: ask}'}"
    if keyboards and document["no_clickers"]:
        yield f"clickers  {document['no_clickers']}"
    if document["wired"]:
        yield f"The settings name: {', '.join(document['wired'])}."
    else:
        yield "The settings name no inputs."
    yield from document["troubles"]


class Watching:
    """Writes a line for whatever is seen, and once for each device the settings to paste."""

    def __init__(self, write: Callable[[str], None], began: int, wired: Iterable[str]) -> None:
        self._write = write
        self._began = began
        self._pasted = {(device, kind) for device in wired for kind in _PASTE}
        self._turned: dict[str, tuple[int, tuple[int, int]]] = {}
        self._most = 1

    def show(self, seen: Seen) -> None:
        if seen.trouble:
            self._write(seen.trouble)
        elif seen.meant:
            self._write(f"{'':10}{'':24}  -> {seen.meant}")
        elif seen.turned is None or self._stirs(seen):
            seconds = (seen.at - self._began) / 1_000_000
            self._write(f"{seconds:8.3f}  {seen.device[-24:]:24}  {seen.sent}")
        key = (seen.device, seen.kind)
        if seen.kind and key not in self._pasted:
            self._pasted.add(key)
            self._write(f"To paste under inputs:   - {paste(seen.device, seen.kind)}")

    def _stirs(self, seen: Seen) -> bool:
        at, stood = self._turned.get(seen.device, (seen.at - _CALMLY, (-1_000_000, 0)))
        now = seen.turned or stood
        self._most = max(self._most, *now)
        far = max(abs(a - b) for a, b in zip(now, stood, strict=True))
        if seen.at - at < _CALMLY or far <= _STIRS * self._most:
            return False
        self._turned[seen.device] = seen.at, now
        return True


_PASTE = {
    "button": "{{{of}, press: ask, long: hold}}",
    "dial": "dial: {{{of}, sets: next}}",
    "knobs": "knobs: {{{of}{ends}, sets: next}}",
    "presence": "presence: {{{of}, every: 5 min}}",
}


def paste(device: str, kind: str, ends: tuple[Sequence[int], Sequence[int]] | None = None) -> str:
    """The settings of an input on that device. `ends`: what the knobs read at either end."""
    told = f", ends: {{hour: {list(ends[0])}, minute: {list(ends[1])}}}" if ends else ""
    of = f"serial: {device}" if device.startswith("/") else f"clicker: {quoted(device)}"
    return _PASTE[kind].format(of=of, ends=told)


def quoted(text: str) -> str:
    """A text as YAML takes it in a group of keys."""
    plain = text.replace(" ", "").replace("-", "").replace(".", "")
    if plain.isalnum() and not text[0].isdigit() and text[0] != "-":
        return text
    return "'" + text.replace("'", "''") + "'"
