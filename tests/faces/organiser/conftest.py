"""A hall whose stalls do as they are told, with its organiser's page open on this machine."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import httpx
import pytest

from showtime.faces.organiser import OrganisedHall, open_organiser_pages
from showtime.faces.pages import PageServer, PinFile
from showtime.fair import Day, Piece, Signboard, Span
from showtime.fair.budgets import Budget
from showtime.fair.hall import HallDay, Place, Together
from showtime.fairnet import FairnetError
from showtime.fairnet.view import (
    CapUsed,
    HallView,
    Here,
    PlanVersion,
    QuietNow,
    Sounds,
    StallView,
)

LONDON = ZoneInfo("Europe/London")
MINUTE = timedelta(minutes=1)
NAMES = (
    "The Tin Orchard",
    "The Lantern Cart",
    "The Paper Menagerie",
    "The Kettle Choir",
    "The Weather Cabinet",
    "The Marble Aviary",
)
PIN = "482915"


def at(clock: str) -> datetime:
    return datetime.fromisoformat(f"2027-02-13T{clock}").replace(tzinfo=LONDON).astimezone(UTC)


def hall_of(names: tuple[str, ...] = NAMES, apart: float = 3.5) -> HallDay:
    """Stalls in rows of three, of which neighbours may not sound together."""
    hours = Span(at("10:00"), at("17:00"))
    days = tuple(
        Day(
            Signboard("Osierholt Curiosity Fair", name, "Figure", ("en",), LONDON),
            date(2027, 2, 13),
            hours,
            (Piece("Frost Bells", 5 * MINUTE, level_dba=74),),
        )
        for name in names
    )
    places = tuple(Place(apart * (n % 3), apart * (n // 3)) for n in range(len(names)))
    rules = (Together(1, apart + 0.5, "neighbours"), Together(3))
    return HallDay(
        "Osierholt Curiosity Fair", LONDON, date(2027, 2, 13), hours, days, places, rules
    )


def stall_of(name: str, number: int, version: PlanVersion) -> StallView:
    """A stall that is here, and silent until its next start."""
    starts = at("14:30") + 5 * number * MINUTE
    return StallView(
        name,
        Here.PRESENT,
        "waiting",
        next=Sounds("Frost Bells", Span(starts, starts + 5 * MINUTE)),
        follows=version,
        caps=(CapUsed("fair rule: at most 4 performances in any 60 min", 2, 4, "2 performances"),),
        last_heard=at("14:12"),
    )


class ObedientHall:
    """What a node on the line does, in memory: stalls confirm when the test lets them."""

    def __init__(self, hall: HallDay, now: datetime) -> None:
        version = PlanVersion(1, "the desk")
        stalls = tuple(stall_of(name, n, version) for n, name in enumerate(hall.names))
        self.hall = hall
        self._view = HallView(now, stalls, version)
        self._lock = threading.Lock()
        self._watching: list[Callable[[], None]] = []
        self.calls: list[tuple[float, str]] = []
        self.capped: list[tuple[Budget, ...]] = []
        self.out_of_order = False

    def view(self) -> HallView:
        return self._view

    def watch(self, changed: Callable[[], None]) -> Callable[[], None]:
        self._watching.append(changed)
        return lambda: self._watching.remove(changed)

    def quiet(self, minutes: float, why: str) -> str:
        if not why.isprintable() or self.out_of_order:
            raise FairnetError("the line is out of order")
        call = f"call{len(self.calls) + 1}"
        self.calls.append((minutes, why))
        now = self._view.now
        span = Span(now, now + timedelta(minutes=minutes))
        self.show(quiet=(*self._view.quiet, QuietNow(call, why, span, "the desk")))
        return call

    def caps(self, caps: Sequence[Budget], stalls: Sequence[str] = ()) -> None:
        self.capped.append(tuple(caps))

    def lift(self, call: str) -> None:
        if all(each.call != call for each in self._view.quiet):
            raise KeyError(call)
        self.show(quiet=tuple(each for each in self._view.quiet if each.call != call))

    def show(self, **changes: Any) -> None:
        """The hall is like this now."""
        with self._lock:
            self._view = replace(self._view, **changes)
        for changed in tuple(self._watching):
            changed()

    def at_stall(self, name: str, **changes: Any) -> None:
        """That stall tells something new of itself."""
        self.show(
            stalls=tuple(
                replace(each, **changes) if each.name == name else each
                for each in self._view.stalls
            )
        )

    def confirm(self, *names: str) -> None:
        """These stalls take up every call that there is, and let go of those that are lifted."""
        held = tuple(each.call for each in self._view.quiet)
        for name in names or self.hall.names:
            self.at_stall(name, heeds=held)

    def plays(self, name: str, minutes: int = 5) -> None:
        """That stall begins to sound."""
        now = self._view.now
        span = Span(now - MINUTE, now + (minutes - 1) * MINUTE)
        self.at_stall(name, stage="playing", playing=Sounds("Frost Bells", span))


class OpenHall:
    """The hall under test, and its page."""

    def __init__(self, organiser: ObedientHall, kept_pin: PinFile) -> None:
        self.organiser = organiser
        self.pin = PIN
        self._kept_pin = kept_pin
        self.seconds = 0.0
        self.pages = self._open(0)

    def _open(self, port: int) -> PageServer:
        shown = OrganisedHall(self.organiser.hall, self.organiser)
        return open_organiser_pages(shown, lambda: self.seconds, port, pin=self._kept_pin)

    @property
    def url(self) -> str:
        return self.pages.where.url

    def unplug(self) -> None:
        self.pages.close()

    def plug_in(self) -> None:
        self.pages = self._open(self.pages.where.port)


@pytest.fixture(scope="session")
def organisers_pin(tmp_path_factory: pytest.TempPathFactory) -> PinFile:
    """The PIN, set once for all tests."""
    kept = PinFile(tmp_path_factory.mktemp("organiser") / "keeper.pin")
    kept.set(PIN)
    return kept


@pytest.fixture
def hall_named() -> Callable[..., HallDay]:
    """`hall_named(names, apart=3.5)`: a hall of stalls in rows of three."""
    return hall_of


@pytest.fixture
def obedient() -> Callable[..., ObedientHall]:
    """`obedient("14:12")`: the hall at that time, all stalls here and silent."""
    return lambda clock="14:12", hall=None: ObedientHall(hall or hall_of(), at(clock))


@pytest.fixture
def open_hall(
    obedient: Callable[..., ObedientHall], organisers_pin: PinFile
) -> Iterator[Callable[..., OpenHall]]:
    """The same with its page open."""
    opened: list[OpenHall] = []

    def opens(clock: str = "14:12", hall: HallDay | None = None) -> OpenHall:
        opened.append(OpenHall(obedient(clock, hall), organisers_pin))
        return opened[-1]

    yield opens
    for each in opened:
        each.pages.close()


@pytest.fixture
def visit() -> Iterator[httpx.Client]:
    """A client without a browser around it."""
    with httpx.Client(timeout=10, trust_env=False) as client:
        yield client


@pytest.fixture
def let_in(visit: httpx.Client) -> Callable[[OpenHall], Callable[..., httpx.Response]]:
    """Opens the organiser's door, and hands back how to send a form from behind it."""

    def opens(hall: OpenHall) -> Callable[..., httpx.Response]:
        own = {"Origin": hall.url.rstrip("/")}
        door = re.search(r'name="door" value="([^"]+)"', visit.get(f"{hall.url}hall").text)
        answer = visit.post(
            f"{hall.url}hall/pin", data={"door": door[1], "pin": hall.pin}, headers=own
        )
        assert answer.status_code == 303, answer.text
        page = visit.get(f"{hall.url}hall").text
        form = re.search(r'name="form" value="([^"]+)"', page)[1]

        def send(where: str, **fields: str) -> httpx.Response:
            return visit.post(f"{hall.url}hall/{where}", data={"form": form} | fields, headers=own)

        return send

    return opens
