"""What the kernel says of keyboards: the port, and Linux behind it."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from errno import EACCES, EBUSY, ENODEV, ENOENT, EPERM
from pathlib import Path
from typing import Any, Protocol

from showtime.triggers.attached import NotThereError


@dataclass(frozen=True, slots=True)
class Found:
    """A keyboard, or what presents itself as one."""

    path: str
    name: str


@dataclass(frozen=True, slots=True)
class Stroke:
    """A key goes down or comes up; `key` as the kernel names it, without KEY_, in lower case."""

    key: str
    down: bool


class Grabbed(Protocol):
    """A keyboard that is heard here and nowhere else."""

    @property
    def file(self) -> int:
        """Becomes readable when keys were pressed, or when it has gone."""

    def read(self) -> Sequence[Stroke]:
        """What was pressed; the key's own repeats are left out. OSError when it has gone."""

    def close(self) -> None: ...


class Keyboards(Protocol):
    """All that is there."""

    def there(self) -> Sequence[Found]: ...

    def grab(self, found: Found, *, alone: bool = True) -> Grabbed:
        """Take one for ourselves, or only listen beside others. NotThereError: it cannot be."""


class LinuxKeyboards:
    """The event devices of Linux. `root` is where its /sys is."""

    def __init__(self, root: Path = Path("/")) -> None:
        self._root = root

    def there(self) -> Sequence[Found]:
        """Read from sysfs, which needs no permission and opens nothing: this is done often."""
        found = []
        for device in sorted((self._root / "sys/class/input").glob("event*")):
            name = _text(device / "device/name")
            if name and _has_keys(_text(device / "device/capabilities/key")):
                found.append(Found(f"/dev/input/{device.name}", name))
        return found

    def grab(self, found: Found, *, alone: bool = True) -> Grabbed:
        try:
            import evdev
        except ImportError as error:
            raise NotThereError(
                f"{found.name}: clickers need evdev, which is not installed here: "
                "pip install 'showtime[inputs]'",
                lasting=True,
            ) from error
        try:
            device = evdev.InputDevice(found.path)
        except OSError as error:
            raise _refused(found, error) from error
        try:
            if alone:
                device.grab()
        except OSError as error:
            device.close()
            raise _refused(found, error) from error
        return _Grabbed(device)


class _Grabbed:
    def __init__(self, device: Any) -> None:
        self._device = device
        self.file: int = device.fd

    def read(self) -> Sequence[Stroke]:
        from evdev import ecodes

        try:
            events = list(self._device.read())
        except BlockingIOError:
            return ()  # it was another keyboard that woke us
        # A value of 2 is the kernel repeating a key that is held: linux, Documentation/input.
        return [
            Stroke(_named(ecodes.keys.get(event.code, str(event.code))), event.value == 1)
            for event in events
            if event.type == ecodes.EV_KEY and event.value in (0, 1)
        ]

    def close(self) -> None:
        with suppress(OSError):  # it was pulled out, and nothing is grabbed any more
            self._device.ungrab()
        self._device.close()


def _named(names: str | Sequence[str]) -> str:
    """One key may have several names; the first is the usual one."""
    name = names if isinstance(names, str) else names[0]
    return name.removeprefix("KEY_").lower()


def _has_keys(capabilities: str) -> bool:
    """The bitmap of keys and buttons in hexadecimal words, the highest first."""
    return any(word.strip("0") for word in capabilities.split())


def _text(path: Path) -> str:
    try:
        return path.read_text("utf-8", "replace").strip()
    except OSError:
        return ""


def _refused(found: Found, error: OSError) -> NotThereError:
    if error.errno in (ENODEV, ENOENT):
        return NotThereError(f"{found.name}: went away just now", absent=True)
    if error.errno in (EACCES, EPERM):
        return NotThereError(
            f"{found.name}: may not be read; add yourself to the group input and log in again: "
            "sudo usermod -aG input $USER"
        )
    if error.errno == EBUSY:
        return NotThereError(f"{found.name}: another program has taken it; end that one")
    why = (error.strerror or str(error)).lower()
    return NotThereError(f"{found.name}: cannot be taken ({why})")
