"""What a sound card is to a player, and a card without a loudspeaker for trials."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from showtime.voice.channels import Channels

RATE = 22_050
"""Samples a second of a stream: the synthesiser's own, so that speech is not converted here."""

BUFFER_MS = 10
"""How often a card asks for samples; a clip waits for the next time it does."""

MEANWHILE = "until then the words are on the screen alone"
REPLUG = f"unplug it and plug it in, {MEANWHILE}"
GONE = f"the sound card is gone; plug it in again, {MEANWHILE}"
STUCK = f"the sound card takes no more sound; {REPLUG}"
NO_ANSWER = f"the sound card does not answer; {REPLUG}"
BACK = "the sound card is back: the figure speaks again"

Pull = Callable[[int], bytes]
"""Given a number of samples, that many of them or fewer; the card adds silence."""


class CardError(Exception):
    """No sound will come out; the message says why and what to do."""


class Stream(Protocol):
    """An open sound card. One thread calls these; `start` and `stop` alternate."""

    def start(self) -> None:
        """Pull samples until `stop`; CardError when the card refuses."""

    def stop(self) -> None:
        """Pull no more samples, but keep the card."""

    def close(self) -> None:
        """Let go of the card."""


class Card(Protocol):
    """Something that a stream can be opened on, again and again."""

    def open(self, pull: Pull, lost: Callable[[], None]) -> Stream:
        """A stream, not yet started; it calls `lost` when the card stops by itself.

        CardError when there is no card or it is in use.
        """


class SoundCard:
    """The computer's sound card: the default one, or the one that `name` is (part of) the name of.

    The Pulse server (or PipeWire in its place) is tried before ALSA; JACK, made for studios, is
    left out: where it is not running it complains on stderr.
    """

    BACKENDS = ("WASAPI", "DSOUND", "WINMM", "COREAUDIO", "PULSEAUDIO", "ALSA", "SNDIO", "OSS")

    def __init__(self, name: str = "", channels: Channels = Channels.ONE) -> None:
        self._name = name.strip()
        self._channels = channels

    def open(self, pull: Pull, lost: Callable[[], None]) -> Stream:
        from showtime.voice import miniaudio_stream

        return miniaudio_stream.opened(self.BACKENDS, self._name, pull, lost, self._channels)


@dataclass(frozen=True, slots=True)
class Device:
    """A sound card by its name; `default` is the one that is used when none is named."""

    name: str
    default: bool = False


def devices() -> tuple[Device, ...]:
    """The sound cards that there are; none on a computer without sound."""
    from showtime.voice import miniaudio_stream

    return miniaudio_stream.devices(SoundCard.BACKENDS)


class NullCard:
    """miniaudio's card without a loudspeaker: the real path, in real time, for trials.

    It has the troubles of a real one: `unplug`, and `jam`, after which it is there but takes no
    samples; `plug_in` ends both.
    """

    def __init__(self, channels: Channels = Channels.ONE) -> None:
        self._channels = channels
        self._plugged = True
        self._jammed = False
        self._told: list[Callable[[], None]] = []

    def unplug(self) -> None:
        self._plugged = False
        told, self._told = self._told, []
        for lost in told:
            lost()

    def plug_in(self) -> None:
        self._plugged, self._jammed = True, False

    def jam(self) -> None:
        self._jammed = True

    def open(self, pull: Pull, lost: Callable[[], None]) -> Stream:
        from showtime.voice import miniaudio_stream

        if not self._plugged:
            raise CardError(no_card())
        if self._jammed:
            raise CardError(card_in_use(""))

        def pulled(frames: int) -> bytes:
            return b"" if self._jammed or not self._plugged else pull(frames)

        self._told.append(lost)
        return miniaudio_stream.opened(("NULL",), "", pulled, lost, self._channels)


def no_card() -> str:
    """The line for a computer without sound."""
    return f"no sound card was found; plug one in, {MEANWHILE}"


def card_in_use(name: str, others: Sequence[str] = ()) -> str:
    """The line for a card that does not open, most often because another program holds it."""
    which = f"the sound card {name!r}" if name else "the sound card"
    rest = [repr(other) for other in others if other != name]
    choice = f" or choose {' or '.join(rest)}" if name and rest else ""
    return f"{which} cannot be opened; end the program that uses it{choice}, {MEANWHILE}"


def no_such_card(name: str, there: Sequence[str]) -> str:
    """The line for a name that no card has; `there` are the cards that come near."""
    return (
        f"there is no sound card called {name!r}; choose {' or '.join(map(repr, there))}, "
        f"{MEANWHILE}"
    )
