"""What all tests share: the demo stall, its plan and words, and how long the long proofs run."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from showtime.fair import Day, Plan, Stall
from showtime.planning import plan
from showtime.settings import load_stall, shipped
from showtime.wording import Bank, parse_bank

TOP = Path(__file__).parents[1]


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--full", action="store_true", help="run the proofs at their full length")


@pytest.fixture(scope="session")
def full(request: pytest.FixtureRequest) -> bool:
    """True when the long forms of the proofs were asked for."""
    return bool(request.config.getoption("--full"))


@pytest.fixture(scope="session")
def top() -> Path:
    """The top of the repository."""
    return TOP


@pytest.fixture(scope="session")
def tin_orchard() -> Stall:
    """The demo stall."""
    return load_stall(shipped("config/tin-orchard.yaml"))


@pytest.fixture(scope="session")
def saturday(tin_orchard: Stall) -> Day:
    """The demo stall's first day: 13 February 2027, ten to five."""
    return tin_orchard.days[0]


@pytest.fixture(scope="session")
def saturday_plan(saturday: Day) -> Plan:
    """The proven plan of that day."""
    made = plan(saturday, limit=60.0, monotonic=time.monotonic)
    assert isinstance(made, Plan)
    return made


@pytest.fixture(scope="session")
def english() -> Bank:
    """The English phrase bank that is shipped."""
    path = shipped("phrasebanks/en.yaml")
    return parse_bank(path.read_text("utf-8"), str(path))
