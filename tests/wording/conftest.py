"""A stall, its situations, and phrase banks small enough to see through."""

from collections.abc import Callable
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from showtime.fair import Signboard
from showtime.settings import shipped
from showtime.wording import Bank, Bar, Kind, Mood, Situation, parse_bank

LONDON = ZoneInfo("Europe/London")
Situations = Callable[..., Situation]


@pytest.fixture(scope="session")
def signboard() -> Signboard:
    return Signboard("Osierholt Curiosity Fair", "The Tin Orchard", "Barnaby Rook", ("en",), LONDON)


@pytest.fixture(scope="session")
def asked(signboard: Signboard) -> Situations:
    """A situation on the first demo day; `at` as "14:30", or None for one that tells no start."""

    def situation(
        kind: Kind,
        at: str | datetime | None = None,
        piece: str = "Frost Bells",
        why: str = "the belt slipped",
        signboard: Signboard = signboard,
        minutes_before: float = 18,
        date: str = "2027-02-13",
        moods: frozenset[Mood] = frozenset(),
        bars: frozenset[Bar] = frozenset(),
    ) -> Situation:
        if isinstance(at, str):
            at = datetime.fromisoformat(f"{date}T{at}").replace(tzinfo=LONDON)
        now = (at or datetime(2027, 2, 13, 14, 12, tzinfo=LONDON)) - timedelta(
            minutes=minutes_before
        )
        return Situation(kind, now, signboard, at=at, piece=piece, why=why, moods=moods, bars=bars)

    return situation


@pytest.fixture(scope="session")
def english_text() -> str:
    return shipped("phrasebanks/en.yaml").read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def english(english_text: str) -> Bank:
    return parse_bank(english_text, "phrasebanks/en.yaml")


@pytest.fixture(scope="session")
def bank_text() -> Callable[..., str]:
    """The text of a small bank in which `changes` stand in for a situation's templates."""
    plain = {
        Kind.NEXT: ["at <time>."],
        Kind.SOON: ["at <time>."],
        Kind.CALL: ["at <time>!"],
        Kind.PLAYING: ["on now, then at <time>.", "on now."],
        Kind.LATE: ["late."],
        Kind.CHANGED: ["now at <time>."],
        Kind.NONE_LEFT: ["no more."],
        Kind.TOMORROW: ["<day> at <time>."],
        Kind.NOT_OPEN: ["<day> at <time>.", "not yet."],
        Kind.CALLED_OFF: ["off."],
        Kind.CLOCK_UNSET: ["lost."],
        Kind.UNDERSTOOD: ["<time>?"],
        Kind.NOT_CAUGHT: ["what?"],
        Kind.REFUSED: ["rather <time>.", "no."],
        Kind.AGREED: ["at <time> then."],
        Kind.CLOCK_SET: ["<it_is_time>."],
        Kind.SURE: ["really <time>?"],
    }

    def text(
        changes: dict[Kind, list[str]] | None = None, rules: dict[str, str] | None = None
    ) -> str:
        lines = ["language: en"]
        if rules:
            lines += ["rules:", *(f"  {name}: {_quoted(rule)}" for name, rule in rules.items())]
        lines.append("situations:")
        for kind, templates in (plain | (changes or {})).items():
            lines += [f"  {kind}:", *(f"    - {_quoted(each)}" for each in templates)]
        return "\n".join(lines) + "\n"

    return text


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"
