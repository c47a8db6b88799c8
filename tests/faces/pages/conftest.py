"""A stall with its pages open on this machine, and a browser to look at them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from uuid import uuid4

import httpx
import pytest

from showtime.faces.pages import PageServer, PinFile, open_pages
from showtime.live import DayState, Desk, House, open_house

SETTINGS = """\
fair: Osierholt Curiosity Fair
stall: {stall}
figure: {figure}
languages: [{languages}]
timezone: Europe/London
days:
  - {{date: 2027-02-13, opens: 10:00, closes: 13:00}}
pieces:
  - {{name: {piece}, lasts: 4 min, reset: 2 min, heat: 30 K, current: 2 A}}
quiet:
  - {{why: {why}, from: 11:10, until: 11:25}}
caps:
  - {{why: fair rule, performances: 3, in_any: 60 min}}
gap: 6 min
body:
  heat: {{time_constant: 25 min, ambient: 21 °C, hold: 8 K, limit: 60 °C}}
wishes:
  order: [performances]
  start_on: 15 min
"""

PIN = "482915"


@dataclass
class OpenStall:
    """The stall under test."""

    house: House
    pages: PageServer
    kept_pin: PinFile
    pin: str = PIN

    @property
    def url(self) -> str:
        return self.pages.where.url

    @property
    def state(self) -> DayState:
        return self.house.day.state

    def unplug(self) -> None:
        """Nobody reaches the pages any more; the day goes on."""
        self.pages.close()

    def plug_in(self) -> None:
        """The pages are where they were."""
        where = self.pages.where
        self.pages = open_pages(self.house, where.port, pin=self.kept_pin)

    def clock(self, moment) -> str:
        return f"{self.state.day.local(moment):%H:%M}"


@pytest.fixture(scope="session")
def kept_pin(tmp_path_factory: pytest.TempPathFactory) -> PinFile:
    """The keeper's PIN, set once for all tests."""
    kept = PinFile(tmp_path_factory.mktemp("keeper") / "keeper.pin")
    kept.set(PIN)
    return kept


@pytest.fixture(scope="session")
def plans(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where plans are kept, so that the same day is planned once."""
    return tmp_path_factory.mktemp("plans")


@pytest.fixture
def open_stall(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kept_pin: PinFile, plans: Path
) -> Iterator[Callable[..., OpenStall]]:
    """Opens the stall as if it were that time of its day."""
    for place in ("DATA", "CONFIG", "STATE"):
        monkeypatch.setenv(f"XDG_{place}_HOME", str(tmp_path / place.lower()))
    monkeypatch.setenv("XDG_CACHE_HOME", str(plans))
    opened: list[OpenStall] = []

    def opens(clock: str = "10:02", *, lan: bool = False, **names: str) -> OpenStall:
        filled = {
            "stall": "The Tin Orchard",
            "figure": "Barnaby Rook",
            "languages": "en",
            "piece": "Frost Bells",
            "why": "a talk next door",
        }
        settings = tmp_path / f"stall{len(opened)}.yaml"
        settings.write_text(SETTINGS.format_map(filled | names), "utf-8")
        house = open_house(Desk.of(settings), "", f"2027-02-13T{clock}", None, silent=True, seed=1)
        opened.append(OpenStall(house, open_pages(house, 0, lan=lan, pin=kept_pin), kept_pin))
        return opened[-1]

    yield opens
    for each in opened:
        each.pages.close()
        each.house.end()
        each.house.live(_Unseen())


class _Unseen:
    """A face that nobody looks at: with it a house that has ended closes all that it opened."""

    every = 60.0

    def show(self, state, now, note, line) -> None:
        """Nothing."""

    def close(self) -> None:
        """Nothing."""


@pytest.fixture
def visit() -> Iterator[httpx.Client]:
    """A client without a browser around it."""
    with httpx.Client(timeout=10, trust_env=False) as client:
        yield client


@pytest.fixture
def let_in(visit: httpx.Client) -> Callable[[OpenStall], Callable[..., httpx.Response]]:
    """Opens the keeper's door with the PIN, and hands back how to send a form from behind it."""

    def opens(stall: OpenStall) -> Callable[..., httpx.Response]:
        own = {"Origin": stall.url.rstrip("/")}
        door = re.search(r'name="door" value="([^"]+)"', visit.get(f"{stall.url}keeper").text)
        answer = visit.post(
            f"{stall.url}keeper/pin", data={"door": door[1], "pin": stall.pin}, headers=own
        )
        assert answer.status_code == 303, answer.text
        page = visit.get(f"{stall.url}keeper").text
        form = re.search(r'name="form" value="([^"]+)"', page)[1]

        def send(words: str, once: str = "", **fields: str) -> httpx.Response:
            data = {"form": form, "once": once or uuid4().hex, "words": words} | fields
            return visit.post(f"{stall.url}keeper/do", data=data, headers=own)

        return send

    return opens
