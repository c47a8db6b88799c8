"""What the figure says and whether it is heard: phrase banks, recordings, the voice, the clock."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from showtime.fair import Day, ShowtimeError
from showtime.live.clock.trust import Doubted
from showtime.live.desk import Desk
from showtime.live.readiness.check import Line, Lines, look, mend, ok
from showtime.live.recording import Extent, RecordingDesk
from showtime.live.speaking import chimed_as, recorded_over, voice_of
from showtime.voice import Channels, Ending, VoiceError, one_after_the_other, open_player
from showtime.wording import Kind, Sentence, Situation, choose

UNHEARD = "check volume, plugs and switch of the loudspeaker: showtime voice devices"


@dataclass(frozen=True)
class Speaking:
    """The voice of a desk's stall on `day`."""

    desk: Desk
    day: Day

    def phrases(self) -> Lines:
        """The phrase bank of each language."""
        lines, good = [], []
        for language in self.desk.stall.signboard.languages:
            bank = self.desk.bank(language)
            good.append(language)
            if bank.warnings:
                first, more = bank.warnings[0], len(bank.warnings) - 1
                lines.append(look("phrases", f"{first}" + (f" (and {more} more)" if more else "")))
        return lines or [ok("phrases", f"something to say in every situation: {', '.join(good)}")]

    def recorded(self) -> Lines:
        """What is missing of the maker's own voice; nothing where there is none."""
        if self.desk.stall.speaking.recorded is None or not self._has_words():
            return []
        lines: list[Line] = []
        for language in self.desk.stall.signboard.spoken:
            missing = RecordingDesk.of(self.desk, language, None, Extent()).missing().fragments
            if missing:
                said = f"{len(missing)} fragments are missing ({language}); the built-in one helps"
                lines.append(look("recorded", said, "showtime voice check names them"))
        return lines or [ok("recorded", "every fragment is there")]

    def clock(self, day_named: bool) -> Lines:
        """Whether the time is known, and on whom. `day_named`: the keeper said which day."""
        trust = self.desk.clock.trust
        if isinstance(trust, Doubted):
            return [mend("clock", f"the time is not known: {trust.why}", SET_IT)]
        now = self.day.local(self.desk.clock.now())
        said = f"{now:%H:%M} on {now:%A %d %B %Y}, by {trust.by}"
        dates = [day.date for day in self.desk.stall.days]
        if day_named or now.date() in dates or self.day.hours.holds(now):
            return [ok("clock", said)]
        return [look("clock", f"{said}: no fair day", f"what follows is for {self.day.date}")]

    @property
    def quiet_now(self) -> str:
        """Why nothing may sound now; empty when it may, or when nobody knows the time."""
        if isinstance(self.desk.clock.trust, Doubted):
            return ""
        quiet = self.day.quiet_at(self.desk.clock.now())
        return quiet.why if quiet else ""

    def aloud(self) -> Lines:
        """The time is said aloud, by which voice and card are tried."""
        if self.quiet_now:
            return [look("voice", f"not tried, it is quiet now: {self.quiet_now}", "try it later")]
        if not self._has_words():
            return [look("voice", "not tried: it has no words to say")]
        try:
            return self._said(self._sentences())
        except VoiceError as error:
            return [mend("voice", str(error))]

    def _has_words(self) -> bool:
        """False when a phrase bank is broken, which is told by `phrases`."""
        try:
            self.phrases()
        except ShowtimeError:
            return False
        return True

    def _sentences(self) -> Sequence[Sentence]:
        now = self.desk.clock.now().replace(second=0, microsecond=0)
        doubted = isinstance(self.desk.clock.trust, Doubted)
        kind, told = (Kind.CLOCK_UNSET, None) if doubted else (Kind.CLOCK_SET, now)
        asked = Situation(kind, now, self.day.signboard, at=told)
        luck = random.Random(now.timestamp())
        spoken = self.day.signboard.spoken
        return [choose(self.desk.bank(each), asked, (), luck) for each in spoken]

    def _said(self, sentences: Sequence[Sentence]) -> Lines:
        speaking = self.desk.stall.speaking
        embedded = voice_of(speaking, self.desk.pronounced([each.language for each in sentences]))
        voice = recorded_over(embedded, speaking, lambda line: None)
        clips = [voice.render(each.text, each.language) for each in sentences]
        clip = chimed_as(speaking)(one_after_the_other(clips))
        player, trouble = open_player(speaking.device, Channels(speaking.channels.value))
        try:
            if trouble:
                return [mend("voice", trouble)]
            ending = player.play(clip).wait_until_ended(clip.seconds + 5)
            if ending is not Ending.HEARD:
                return [mend("voice", player.trouble or "the card took no sound", UNHEARD)]
        finally:
            player.close()
        said = " ".join(each.text for each in sentences)
        if embedded.troubles:
            return [look("voice", embedded.troubles[0])]
        return [ok("voice", f"the sound card took: {said}")]


SET_IT = "give the computer network time, or set it once the day runs: showtime tell clock 14:05"


def minute_shown(day: Day, now: datetime) -> str:
    """The time as it is asked about."""
    return f"{day.local(now):%H:%M}"
