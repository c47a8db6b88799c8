"""Orders from another terminal: a local socket that only the keeper's user may open."""

from __future__ import annotations

import json
import os
import socket
import threading
from collections.abc import Callable, Sequence
from pathlib import Path

from showtime.fair import ShowtimeError, Stall
from showtime.live.places import hall_socket_path, socket_path

_LONGEST = 4096
"""Bytes that an order may have."""

_LONGEST_ANSWER = 4_000_000
"""Bytes that an answer may have: a hall has many stalls."""

_PATIENCE = 5.0
"""Seconds that either side waits for the other."""

_LONGEST_PATH = 107
"""Bytes that a socket's path may have: unix(7)."""


class TellingError(ShowtimeError):
    """An order could not be brought to a running day."""


class Ear:
    """Hears orders on a socket, one after the other, and answers each with what was said."""

    def __init__(self, path: Path, told: Callable[[Sequence[str]], str]) -> None:
        self._path = path
        self._told = told
        self._socket = _bound(path)
        self._thread = threading.Thread(target=self._listen, name="ear", daemon=True)
        self._thread.start()

    def close(self) -> None:
        """Hear no more."""
        self._path.unlink(missing_ok=True)
        self._socket.shutdown(socket.SHUT_RDWR)
        self._socket.close()
        self._thread.join(timeout=_PATIENCE)

    def _listen(self) -> None:
        while True:
            try:
                asking, _ = self._socket.accept()
            except OSError:
                return  # closed
            with asking:
                asking.settimeout(_PATIENCE)
                try:
                    asking.sendall(json.dumps(self._answer(asking)).encode() + b"\n")
                except OSError:
                    continue  # whoever asked has gone; the order was heard or it was not

    def _answer(self, asking: socket.socket) -> dict[str, object]:
        try:
            words = json.loads(_line(asking))
            if not isinstance(words, list) or not all(isinstance(word, str) for word in words):
                raise ValueError("not a list of words")
        except ValueError as error:
            return {"good": False, "said": f"That was no order: {error}."}
        try:
            return {"good": True, "said": self._told(words)}
        except ShowtimeError as error:
            return {"good": False, "said": str(error)}


def _line(asking: socket.socket, longest: int = _LONGEST) -> bytes:
    heard = b""
    while not heard.endswith(b"\n") and len(heard) < longest:
        piece = asking.recv(_LONGEST)
        if not piece:
            break
        heard += piece
    return heard


def _bound(path: Path) -> socket.socket:
    """A socket at `path` for the present user alone; one left by a day that died is replaced."""
    if len(os.fsencode(path)) > _LONGEST_PATH:
        raise TellingError(f"{path}: too long a path for a socket; orders are heard by keys only")
    listening = socket.socket(socket.AF_UNIX)
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        if _answers(path):
            raise TellingError(f"{path}: another day hears the orders; this one hears keys only")
        path.unlink(missing_ok=True)
        before = os.umask(0o177)
        try:
            listening.bind(str(path))
        finally:
            os.umask(before)
        listening.listen(8)
    except (OSError, TellingError) as error:
        listening.close()
        if isinstance(error, TellingError):
            raise
        raise TellingError(f"{path}: {error.strerror}; orders are heard by keys only") from error
    return listening


def _answers(path: Path) -> bool:
    with socket.socket(socket.AF_UNIX) as trying:
        trying.settimeout(_PATIENCE)
        try:
            trying.connect(str(path))
        except OSError:
            return False
    return True


def tell_day(stall: Stall, words: Sequence[str]) -> tuple[bool, str]:
    """Bring an order to the stall's running day: whether it was one, and what it said."""
    absent = f"no day of {stall.signboard.stall} is running here", "start it with: showtime run"
    return _told(socket_path(stall), words, absent)


def tell_hall(fair: str, words: Sequence[str]) -> tuple[bool, str]:
    """Bring an order to the fair's organiser's node that runs here; what it said."""
    absent = f"nobody organises {fair} on this machine", "start it with: showtime hall"
    return _told(hall_socket_path(fair), words, absent)


def hear_for_hall(fair: str, told: Callable[[Sequence[str]], str]) -> Ear:
    """Hear what is brought by `tell_hall`. TellingError: another one hears it already."""
    return Ear(hall_socket_path(fair), told)


def _told(path: Path, words: Sequence[str], absent: tuple[str, str]) -> tuple[bool, str]:
    with socket.socket(socket.AF_UNIX) as telling:
        telling.settimeout(_PATIENCE)
        try:
            telling.connect(str(path))
            telling.sendall(json.dumps(list(words)).encode() + b"\n")
            answer = json.loads(_line(telling, _LONGEST_ANSWER))
        except OSError as error:
            who, how = absent
            raise TellingError(f"{who} ({error.strerror or error}); {how}") from None
        except ValueError:
            raise TellingError(f"{path}: the running day gave no answer; try again") from None
    return bool(answer.get("good")), str(answer.get("said", ""))
