"""The seam to miniaudio: its devices as streams, its errors as `CardError`.

Imported only when a card is opened: miniaudio takes about 65 ms.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Generator, Sequence
from functools import cache
from typing import Any

from showtime.voice.bare_miniaudio import miniaudio
from showtime.voice.card import (
    BUFFER_MS,
    RATE,
    REPLUG,
    CardError,
    Device,
    Pull,
    card_in_use,
    no_card,
    no_such_card,
)
from showtime.voice.channels import Channels
from showtime.voice.voice_names import near_names

_DISCARDS = "Discard all samples"
"""How ALSA's list begins the name of its own nothing, which is there without any card."""

_DUMMY = "Dummy Output"
"""What a sound server lists, and plays to, where it found no card."""


class _Device(miniaudio.PlaybackDevice):  # type: ignore[misc]  # it comes without types
    """A playback device that gives back its context too, which miniaudio leaves open."""

    def close(self) -> None:
        super().close()
        context, self._context = getattr(self, "_context", None), None
        if context is not None:
            miniaudio.lib.ma_context_uninit(context)


class _Listing(miniaudio.Devices):  # type: ignore[misc]  # it comes without types
    """The names of the cards, without opening each one: one in use would end the list."""

    def _get_info(self, _: object, card: Any) -> dict[str, Any]:
        return {"default": bool(card.isDefault)}


class MiniaudioStream:
    """One opened device; `lost` is called when it stops without having been told to."""

    def __init__(
        self, device: _Device, pull: Pull, lost: Callable[[], None], channels: Channels
    ) -> None:
        self._device = device
        self._channels = channels
        self._pull = pull
        self._lost = lost
        self._wanted = False

    def start(self) -> None:
        pulling = _pulling(self._pull, self._channels)
        next(pulling)
        self._device.stop_callback = self._stopped
        self._wanted = True
        try:
            self._device.start(pulling)
        except miniaudio.MiniaudioError as cause:
            raise CardError(f"the sound card does not start; {REPLUG}") from cause

    def stop(self) -> None:
        self._wanted = False
        try:
            self._device.stop()
        except miniaudio.MiniaudioError as cause:
            raise CardError(f"the sound card does not stop; {REPLUG}") from cause

    def close(self) -> None:
        self._wanted = False
        self._device.close()

    def _stopped(self) -> None:
        if self._wanted:
            self._wanted = False
            self._lost()


def opened(
    backends: Sequence[str],
    name: str,
    pull: Pull,
    lost: Callable[[], None],
    channels: Channels,
) -> MiniaudioStream:
    """A stream on the first of the named backends that works here; CardError when none does."""
    tried = _enabled(backends)
    cards = {card["name"]: card["id"] for card in _cards(tried)}
    only_a_dummy = cards.pop(_DUMMY, None) is not None and not cards
    if only_a_dummy:
        raise CardError(no_card())
    name = _meant(name, list(cards)) if name else ""
    try:
        device = _Device(
            miniaudio.SampleFormat.SIGNED16,
            nchannels=channels.width,
            sample_rate=RATE,
            buffersize_msec=BUFFER_MS,
            device_id=cards.get(name),
            backends=tried,
            app_name="Showtime",
        )
    except miniaudio.MiniaudioError as cause:
        raise CardError(card_in_use(name, list(cards)) if cards else no_card()) from cause
    return MiniaudioStream(device, pull, lost, channels)


def devices(backends: Sequence[str]) -> tuple[Device, ...]:
    """The cards of the first of the named backends that works here."""
    cards = _cards(_enabled(backends))
    return tuple(Device(card["name"], card["default"]) for card in cards if card["name"] != _DUMMY)


def resampled(samples: bytes, rate: int) -> bytes:
    """16-bit mono samples at `rate` as they are at `RATE`."""
    s16 = miniaudio.SampleFormat.SIGNED16
    return bytes(miniaudio.convert_frames(s16, 1, rate, samples, s16, 1, RATE))


def _pulling(pull: Pull, channels: Channels) -> Generator[bytes, int, None]:
    frames = yield b""
    while True:
        frames = yield channels.laid_out(pull(frames))


def _enabled(names: Sequence[str]) -> list[Any]:
    """The backends of these names that this build has, in this order."""
    _hush_alsa()
    enabled = {backend.name: backend for backend in miniaudio.get_enabled_backends()}
    return [enabled[name] for name in names if name in enabled]


def _cards(backends: list[Any]) -> list[dict[str, Any]]:
    """Each card's name, what miniaudio opens it by, and if it is the default; none when no
    backend works."""
    try:
        listing = _Listing(backends).get_playbacks()
    except miniaudio.MiniaudioError:
        return []
    return [card for card in listing if card["name"] and not card["name"].startswith(_DISCARDS)]


def _meant(name: str, cards: list[str]) -> str:
    """The card that `name` is the name of, or a part of the name of, in any case."""
    if not cards:
        raise CardError(no_card())
    exact = [card for card in cards if card.lower() == name.lower()]
    part = [card for card in cards if name.lower() in card.lower()]
    if exact or len(part) == 1:
        return (exact or part)[0]
    raise CardError(no_such_card(name, part or near_names(name, cards) or cards))


@cache
def _hush_alsa() -> object:
    """Keep ALSA from writing its search for a card to stderr, which may be a live screen.

    The handler that is given back must outlive every call: the cache holds it.
    """
    if not sys.platform.startswith("linux"):
        return None
    import ctypes

    text, number = ctypes.c_char_p, ctypes.c_int
    handler = ctypes.CFUNCTYPE(None, text, number, text, number, text)(lambda *_words: None)
    try:
        ctypes.CDLL("libasound.so.2").snd_lib_error_set_handler(handler)
    except (OSError, AttributeError):
        return None  # No ALSA on this computer: nothing to hush.
    return handler
