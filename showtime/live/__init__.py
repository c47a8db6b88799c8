"""The live day: events, journal, fold, answer, the keeper's actions, the running day.

Owns what happened and what follows from it. Refuses to tell a time that it may not keep: a promise
is on disk before it is spoken. Always holds: the state is the fold of the journal; `answer` depends
on nothing but a state and an instant; the machine's clock is looked at in clock/ alone.
"""

from importlib import import_module
from typing import TYPE_CHECKING

from showtime.live.answer import answer
from showtime.live.fold import fold
from showtime.live.state import DayState, Outcome, Promise, Stage

if TYPE_CHECKING:
    from showtime.live.clock.simulated import SimulatedClock
    from showtime.live.desk import Desk, NoPlanError
    from showtime.live.faults import tell_fault
    from showtime.live.hallclock import LiveHall, live_hall
    from showtime.live.halldesk import HallDesk, NoHallPlanError
    from showtime.live.handout import HandoutError, handout_document, handout_from, handout_in
    from showtime.live.hearing import HearingDesk, HearingError, Share, Trial, Understood
    from showtime.live.house import House
    from showtime.live.journal import Journal, JournalError
    from showtime.live.keeper.line import Line
    from showtime.live.ledger import promises_at
    from showtime.live.opening import Edges, open_house
    from showtime.live.recording import Extent, Reading, RecordedError, RecordingDesk
    from showtime.live.rehearsal import Rehearsed
    from showtime.live.running import RunningDay
    from showtime.live.service import unit_of
    from showtime.live.speaking import SoundCards, VoicesThere, sound_cards, voices_there
    from showtime.live.telling import hear_for_hall, tell_day, tell_hall
    from showtime.live.world import World

_ROOMS_OWN = {
    "SimulatedClock": "clock.simulated",
    "Desk": "desk",
    "NoPlanError": "desk",
    "LiveHall": "hallclock",
    "live_hall": "hallclock",
    "HallDesk": "halldesk",
    "NoHallPlanError": "halldesk",
    "House": "house",
    "Journal": "journal",
    "JournalError": "journal",
    "Line": "keeper.line",
    "promises_at": "ledger",
    "Edges": "opening",
    "open_house": "opening",
    "tell_fault": "faults",
    "HandoutError": "handout",
    "handout_document": "handout",
    "handout_from": "handout",
    "handout_in": "handout",
    "hear_for_hall": "telling",
    "tell_day": "telling",
    "tell_hall": "telling",
    "SoundCards": "speaking",
    "VoicesThere": "speaking",
    "sound_cards": "speaking",
    "voices_there": "speaking",
    "Extent": "recording",
    "HearingDesk": "hearing",
    "HearingError": "hearing",
    "Share": "hearing",
    "Trial": "hearing",
    "Understood": "hearing",
    "Reading": "recording",
    "RecordedError": "recording",
    "RecordingDesk": "recording",
    "unit_of": "service",
    "Rehearsed": "rehearsal",
    "RunningDay": "running",
    "World": "world",
}
"""What is imported only when asked for: a question at the desk needs no sound card, no journal."""

__all__ = [
    "DayState",
    "Desk",
    "Edges",
    "Extent",
    "HandoutError",
    "HallDesk",
    "HearingDesk",
    "HearingError",
    "House",
    "Journal",
    "JournalError",
    "Line",
    "LiveHall",
    "NoHallPlanError",
    "NoPlanError",
    "Outcome",
    "Promise",
    "Reading",
    "RecordedError",
    "RecordingDesk",
    "Rehearsed",
    "RunningDay",
    "Share",
    "SimulatedClock",
    "SoundCards",
    "Stage",
    "VoicesThere",
    "Trial",
    "Understood",
    "World",
    "answer",
    "fold",
    "hear_for_hall",
    "live_hall",
    "handout_document",
    "handout_from",
    "handout_in",
    "open_house",
    "promises_at",
    "sound_cards",
    "tell_fault",
    "tell_day",
    "tell_hall",
    "unit_of",
    "voices_there",
]


def __getattr__(name: str) -> object:
    if name not in _ROOMS_OWN:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_ROOMS_OWN[name]}"), name)
