"""Clips through a sound card that is kept open, so that an answer starts within its buffer.

Why the stream rests: a card that pulls every 10 ms costs 0.6 to 0.8 % of a core here even when it
pulls nothing but silence, most of it in the card's own thread; a stopped stream costs nothing.
Starting a stopped one takes 0.2 to 0.8 ms here (null card), opening a closed one 0.4 to 5 ms. So
the card is kept open all day, and its stream stops after half a minute without a clip.
"""

from __future__ import annotations

import atexit
import queue
import threading
from dataclasses import dataclass

from showtime.voice.card import (
    BACK,
    BUFFER_MS,
    GONE,
    NO_ANSWER,
    RATE,
    STUCK,
    Card,
    CardError,
    Stream,
)
from showtime.voice.clip import Clip
from showtime.voice.mix import FADE_S, Mix
from showtime.voice.playback import Ending, Playback
from showtime.voice.player import Told, told_nobody
from showtime.voice.samples import samples_of


@dataclass(frozen=True, slots=True)
class Patience:
    """Seconds: until an idle stream rests, between attempts to get sound back, until a card that
    takes no samples counts as stuck, and for opening or closing one."""

    rest: float = 30.0
    again: float = 15.0
    stuck: float = 2.0
    answer: float = 5.0


@dataclass(frozen=True, slots=True)
class _Asked:
    """A clip was put in."""


@dataclass(frozen=True, slots=True)
class _Lost:
    """The stream of that number stopped by itself."""

    number: int


@dataclass(frozen=True, slots=True)
class _Closing:
    """The player is no longer needed."""


class DevicePlayer:
    """Plays through `card`. One thread of its own opens, starts, stops and closes the stream.

    `told` hears, from that thread, when sound is lost and when it is back, once each time.
    """

    def __init__(
        self, card: Card, *, told: Told = told_nobody, patience: Patience | None = None
    ) -> None:
        self._card = card
        self._told = told
        self._patience = patience or Patience()
        self._mix = Mix(RATE)
        self._events: queue.SimpleQueue[_Asked | _Lost | _Closing] = queue.SimpleQueue()
        self._stream: Stream | None = None
        self._number = 0
        self._pulling = False
        self._seen = 0
        self._trouble = NO_ANSWER
        self._announced = False
        self._closed = False
        tried = threading.Event()
        # A daemon, because the interpreter waits for other threads before it runs `atexit`.
        self._thread = threading.Thread(
            target=self._tend, args=(tried,), name="sound card", daemon=True
        )
        self._thread.start()
        # An open card would keep the interpreter from ending.
        atexit.register(self.close)
        tried.wait(self._patience.answer)
        self._announced = bool(self._trouble)

    @property
    def busy(self) -> bool:
        return self._mix.busy

    @property
    def trouble(self) -> str:
        return self._trouble

    @property
    def resting(self) -> bool:
        """True while the card is open but pulls nothing."""
        return self._stream is not None and not self._pulling

    def play(self, clip: Clip, *, gain: float = 1.0) -> Playback:
        playback = Playback(clip, gain)
        if self._closed:
            playback.end(Ending.UNHEARD)
            return playback
        if clip.rate != RATE:
            from showtime.voice.miniaudio_stream import resampled

            clip = Clip(resampled(clip.samples, clip.rate), RATE)
        self._mix.put(playback, samples_of(clip))
        self._events.put(_Asked())
        # Looked at after putting: a card lost in between has already emptied the mix.
        if self._trouble or self._closed:
            self._mix.stop(Ending.UNHEARD)
        return playback

    def stop(self) -> None:
        self._mix.stop()

    def close(self) -> None:
        if self._closed:
            return
        self._closed = True
        atexit.unregister(self.close)
        self._events.put(_Closing())
        if threading.current_thread() is not self._thread:
            self._thread.join(self._patience.answer)

    def _tend(self, tried: threading.Event) -> None:
        """The thread: one event after another, and a look around when none comes."""
        try:
            self._open()
            tried.set()
            while not isinstance(event := self._next_event(), _Closing):
                self._handle(event)
        finally:
            self._let_go()

    def _next_event(self) -> _Asked | _Lost | _Closing | None:
        try:
            return self._events.get(timeout=self._until_next_look())
        except queue.Empty:
            return None

    def _until_next_look(self) -> float | None:
        if self._stream is None:
            return self._patience.again
        if not self._pulling:
            return None
        self._seen = self._mix.pulls
        return self._patience.stuck if self._mix.busy else self._patience.rest

    def _handle(self, event: _Asked | _Lost | None) -> None:
        if self._stream is None:
            self._open()
        elif event is None:
            self._look(self._stream)
        elif isinstance(event, _Asked):
            if not self._pulling:
                self._set_pulling(self._stream, True)
        elif event.number == self._number:
            self._lose(GONE)

    def _look(self, stream: Stream) -> None:
        """Nothing happened for a while: is the card stuck, or may its stream rest?"""
        if self._mix.pulls == self._seen:
            self._lose(STUCK)
        elif not self._mix.busy:
            self._set_pulling(stream, False)

    def _open(self) -> None:
        try:
            self._stream = self._opened()
        except CardError as cause:
            # While the keeper knows of a trouble, the first line about it stands.
            self._trouble = self._trouble if self._announced else str(cause)
            return
        self._pulling = True
        self._trouble = ""
        if self._announced:
            self._announced = False
            self._told(BACK)

    def _opened(self) -> Stream:
        self._number += 1
        number = self._number
        stream = self._card.open(self._mix.pull, lambda: self._events.put(_Lost(number)))
        try:
            stream.start()
        except CardError:
            stream.close()
            raise
        return stream

    def _set_pulling(self, stream: Stream, pulling: bool) -> None:
        try:
            if pulling:
                stream.start()
            else:
                stream.stop()
        except CardError as cause:
            self._lose(str(cause))
        else:
            self._pulling = pulling

    def _lose(self, line: str) -> None:
        """Go on silently: tell why, once, and forget the stream."""
        self._trouble = line
        self._mix.stop(Ending.UNHEARD)
        stream, self._stream, self._pulling = self._stream, None, False
        if not self._announced:
            self._announced = True
            self._told(line)
        if stream is not None:
            stream.close()

    def _let_go(self) -> None:
        if self._mix.busy and self._pulling:
            self._mix.stop()
            threading.Event().wait(FADE_S + 2 * BUFFER_MS / 1000)
        self._mix.stop(Ending.CUT if self._pulling else Ending.UNHEARD)
        if self._stream is not None:
            self._stream.close()
        self._stream, self._pulling = None, False
