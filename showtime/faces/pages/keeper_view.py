"""What the keeper's page says, made from the house as it stands."""

from __future__ import annotations

import re
import secrets
from datetime import datetime
from typing import TYPE_CHECKING

from showtime.faces.pages.remote import Action, actions, bars, told
from showtime.fair import ShowtimeError
from showtime.live import DayState, promises_at

if TYPE_CHECKING:
    from showtime.live import House

_ANSWERS = 6

_SECONDS = re.compile(r"^(\d\d:\d\d):\d\d")
"""A clock that stands still on the page tells no seconds."""


class View:
    """Keeps what the buttons would do until something has changed: to reckon it takes a while."""

    def __init__(self, house: House) -> None:
        self._house = house
        self._tried: tuple[DayState, datetime, tuple[Action, ...]] | None = None

    def now(self, form: str) -> dict[str, object]:
        """All that changes by itself; `form` is the token that its forms carry."""
        state, now = self._house.day.state, self._house.clock.now()
        day = state.day
        return {
            "form": form,
            "once": secrets.token_urlsafe(9),
            "status": _SECONDS.sub(r"\1", self._house.tell(["status"])),
            "trouble": self._house.day.trouble,
            "actions": self._actions(state, now),
            "coming": [(f"{day.local(s.starts):%H:%M}", s.piece) for s in state.upcoming],
            "promises": [
                (f"{day.local(p.told):%H:%M}", told(day, p)) for p in promises_at(state, now)
            ],
            "bars": bars(state, now),
            "answers": state.said[: -_ANSWERS - 1 : -1],
        }

    def whole(self, form: str, order: str) -> dict[str, object]:
        """That, and what an order that was typed would do."""
        shown = self.now(form)
        return {
            **shown,
            "figure": self._house.day.state.day.signboard.figure,
            "order": order,
            "order_would": self._would(order) if order else "",
        }

    def _would(self, order: str) -> str:
        try:
            return self._house.tell(["would", *order.split()])
        except ShowtimeError as error:
            return str(error)

    def _actions(self, state: DayState, now: datetime) -> tuple[Action, ...]:
        minute = now.replace(second=0, microsecond=0)
        known = self._tried
        if known is not None and known[0] is state and known[1] == minute:
            return known[2]
        found = actions(state, self._house.day.would)
        self._tried = (state, minute, found)
        return found
