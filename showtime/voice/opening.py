"""The way to a player, whatever the computer has."""

from __future__ import annotations

import os

from showtime.voice.card import Card, NullCard, SoundCard
from showtime.voice.channels import Channels
from showtime.voice.device_player import DevicePlayer, Patience
from showtime.voice.player import Player, Told, told_nobody

NULL = "null"
VARIABLE = "SHOWTIME_SOUND_CARD"
"""Names the sound card where the settings leave it open."""


def open_player(
    device: str = "",
    channels: Channels = Channels.ONE,
    *,
    told: Told = told_nobody,
    patience: Patience | None = None,
) -> tuple[Player, str]:
    """A player on the sound card called `device`, and a line for the keeper.

    Empty means the card that VARIABLE names, else the default one; "null" one that takes sound
    in real time and makes none. The line is empty when all is well. Otherwise it says why there
    is no sound and what to do: the player is then silent, and tries again now and then and with
    each clip. `told` hears of later changes. Close the player.
    """
    name = device or os.environ.get(VARIABLE, "")
    card: Card = NullCard(channels) if name == NULL else SoundCard(name, channels)
    player = DevicePlayer(card, told=told, patience=patience)
    return player, player.trouble
