"""A voice that the maker recorded: one long recording in, sentences out.

Owns how a recording is read, cut at its silences and laid on the script, how fragments are kept,
and how they are joined. Refuses to know which fragments a bank needs, or how a text falls into
stretches: both are handed in. Always holds: what is recorded is replaced in one step or not at
all; a sentence is spoken by one voice from beginning to end.
"""

from showtime.voice.recorded.cutting import Cut, Take, Wanted, cut
from showtime.voice.recorded.folder import Kept, keep, recorded_in
from showtime.voice.recorded.joining import RecordedVoice
from showtime.voice.recorded.pretended import Reading, Room, read_out
from showtime.voice.recorded.reading import RecordingError, read_recording

__all__ = [
    "Cut",
    "Kept",
    "RecordedVoice",
    "Reading",
    "RecordingError",
    "Room",
    "Take",
    "Wanted",
    "cut",
    "keep",
    "read_out",
    "read_recording",
    "recorded_in",
]
