"""Who may be on the embedded broker, and say what: two plugins of amqtt's.

Imported by that broker alone, by name. A stall writes below its own word, an organiser below
`organiser/`, and a last will counts as writing: what a will may not say is refused at the door.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from amqtt.contexts import Action
from amqtt.plugins.base import BaseAuthPlugin, BaseTopicPlugin
from amqtt.session import Session

from showtime.fairnet.passwords import fits, users_in


def may(filters: dict[str, list[str]], user: str, topic: str) -> bool:
    """True when one of the filters of that user matches the topic (MQTT 3.1.1, 4.7)."""
    return any(_matches(one.split("/"), topic.split("/")) for one in filters.get(user, ()))


def _matches(levels: list[str], topic: list[str]) -> bool:
    for at, level in enumerate(levels):
        if level == "#":
            return True
        if at >= len(topic) or topic[at] in ("+", "#"):
            return False
        if level not in ("+", topic[at]):
            return False
    return len(levels) == len(topic)


class Users(BaseAuthPlugin):  # type: ignore[misc]  # amqtt tells no types
    """Lets in who shows the password that the file has of them."""

    @dataclass
    class Config:
        """`writes`: what each user may write to."""

        password_file: str = ""
        writes: dict[str, list[str]] = field(default_factory=dict)

    def __init__(self, context: Any) -> None:
        super().__init__(context)
        self._users = users_in(Path(self.config.password_file))

    async def authenticate(self, *, session: Session) -> bool | None:
        entry = self._users.get(session.username or "")
        if entry is None or not fits(session.password or "", entry):
            return False
        if not session.will_flag:
            return True
        return may(self.config.writes, session.username or "", session.will_topic or "")


class Rights(BaseTopicPlugin):  # type: ignore[misc]  # amqtt tells no types
    """Lets each user write where it may, and everybody who is in read the whole fair."""

    @dataclass
    class Config:
        """`reads`: the filters that everybody may read; `writes`: what each user may write to."""

        reads: list[str] = field(default_factory=list)
        writes: dict[str, list[str]] = field(default_factory=dict)

    async def topic_filtering(
        self,
        *,
        session: Session | None = None,
        topic: str | None = None,
        action: Action | None = None,
    ) -> bool | None:
        user = (session.username if session else "") or ""
        if not topic:
            return False
        if action == Action.PUBLISH:
            return may(self.config.writes, user, topic)
        return any(topic.startswith(allowed.removesuffix("#")) for allowed in self.config.reads)
