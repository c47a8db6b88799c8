"""Sentence -> Clip -> sound: the embedded synthesiser, clips rendered ahead, the player.

Owns everything between words and the loudspeaker. Refuses to know what the words mean, when they
are due, or what time it is. Always holds: no system package is needed, no program is started,
nothing is printed; playing returns at once and never raises over a sound card; once closed,
players and stores leave no thread behind, and left open they close when the interpreter ends.
"""

from showtime.voice.card import Device, devices
from showtime.voice.channels import Channels
from showtime.voice.chime import Chime, after_chime
from showtime.voice.clip import Clip
from showtime.voice.clip_store import ClipStore
from showtime.voice.embedded import EmbeddedVoice, Voice, voices
from showtime.voice.manner import Manner
from showtime.voice.mute_player import MutePlayer
from showtime.voice.opening import open_player
from showtime.voice.playback import Ending, Playback
from showtime.voice.player import SOFTLY, Player
from showtime.voice.samples import one_after_the_other
from showtime.voice.synthesiser import VoiceError
from showtime.voice.voice_names import Voices
from showtime.voice.wave_file import write_wav

__all__ = [
    "SOFTLY",
    "Channels",
    "Chime",
    "Clip",
    "ClipStore",
    "Device",
    "EmbeddedVoice",
    "Ending",
    "Manner",
    "MutePlayer",
    "Playback",
    "Player",
    "Voice",
    "VoiceError",
    "Voices",
    "after_chime",
    "devices",
    "one_after_the_other",
    "open_player",
    "voices",
    "write_wav",
]
