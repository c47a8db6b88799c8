"""How the neighbours reach the keeper, as the keeper writes it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from showtime.settings.kinds import Text
from showtime.settings.model import Group, given


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class KeeperGroup(Group):
    example: ClassVar[str] = "{phone: 01632 960 017}"
    phone: str = given(
        Text("01632 960 017", longest=40), "the keeper's telephone, printed as it is typed", ""
    )
