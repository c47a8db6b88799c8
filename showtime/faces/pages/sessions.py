"""Who has shown the PIN: a secret in a cookie, a token in every form, both for a day at most."""

from __future__ import annotations

import secrets
from collections import deque
from dataclasses import dataclass, field

LASTS = 12 * 3600.0
"""Seconds: a day at the fair."""

_MOST = 8
"""Phones and tablets that are in at once; the first gives way."""


@dataclass
class Session:
    """One browser that is in. `mark` is that of the PIN it was let in with; `said` what it is told
    next; `done` the forms that it has sent lately."""

    token: str
    mark: str
    until: float
    form: str = field(default_factory=lambda: secrets.token_urlsafe(24))
    said: str = ""
    done: deque[str] = field(default_factory=lambda: deque(maxlen=200))

    def is_asked_by(self, form: str) -> bool:
        """True when a form carries this session's token."""
        return secrets.compare_digest(form.encode(), self.form.encode())

    def is_new(self, once: str) -> bool:
        """False for a form that was sent before: a double tap, a page loaded again."""
        if not once or once in self.done:
            return False
        self.done.append(once)
        return True


class Sessions:
    """The sessions there are, in memory alone: after a restart the PIN is asked for again."""

    def __init__(self) -> None:
        self._known: dict[str, Session] = {}

    def open(self, mark: str, now: float) -> Session:
        while len(self._known) >= _MOST:
            del self._known[next(iter(self._known))]
        session = Session(secrets.token_urlsafe(32), mark, now + LASTS)
        self._known[session.token] = session
        return session

    def find(self, token: str, mark: str, now: float) -> Session | None:
        """The session of that cookie, unless it is over or the PIN has been changed since."""
        session = self._known.get(token)
        if session is None or session.until <= now or session.mark != mark:
            self._known.pop(token, None)
            return None
        return session

    def close(self, session: Session) -> None:
        self._known.pop(session.token, None)
