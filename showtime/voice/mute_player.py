"""A player without a sound card, for rehearsals and tests."""

from __future__ import annotations

from collections.abc import Callable

from showtime.voice.card import BACK, card_in_use, no_card
from showtime.voice.clip import Clip
from showtime.voice.playback import Ending, Playback
from showtime.voice.player import Told, told_nobody


class MutePlayer:
    """Plays in silence, remembers what was played, and has a real card's troubles.

    `seconds` is a clock's reading, real or simulated: clips then take their time. Without one
    they are over at once. Belongs to one thread.
    """

    def __init__(
        self, seconds: Callable[[], float] | None = None, *, told: Told = told_nobody
    ) -> None:
        self.history: list[Playback] = []
        self._seconds = seconds
        self._told = told
        self._trouble = ""
        self._closed = False
        self._playback: Playback | None = None
        self._until = 0.0

    @property
    def busy(self) -> bool:
        self._look()
        return self._playback is not None

    @property
    def trouble(self) -> str:
        return self._trouble

    def play(self, clip: Clip, *, gain: float = 1.0) -> Playback:
        playback = Playback(clip, gain, self._look)
        self.stop()
        if self._closed or self._trouble:
            playback.end(Ending.UNHEARD)
            return playback
        self.history.append(playback)
        self._playback = playback
        self._until = clip.seconds + (self._seconds() if self._seconds else 0.0)
        playback.start()
        self._look()
        return playback

    def stop(self) -> None:
        self._end(Ending.CUT)

    def close(self) -> None:
        self.stop()
        self._closed = True

    def unplug(self) -> None:
        """Pull the plug of the loudspeaker."""
        self._lose(no_card())

    def jam(self) -> None:
        """Let another program take the card."""
        self._lose(card_in_use(""))

    def plug_in(self) -> None:
        """End every trouble."""
        if self._trouble:
            self._trouble = ""
            self._told(BACK)

    def _lose(self, line: str) -> None:
        self._end(Ending.UNHEARD)
        if not self._trouble:
            self._trouble = line
            self._told(line)

    def _look(self) -> None:
        """End the clip when its time is over."""
        if self._playback is not None and (self._seconds is None or self._seconds() >= self._until):
            self._end(Ending.HEARD)

    def _end(self, ending: Ending) -> None:
        playback, self._playback = self._playback, None
        if playback is not None:
            over = self._seconds is None or self._seconds() >= self._until
            playback.end(Ending.HEARD if over else ending)
