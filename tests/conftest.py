"""What all tests share: how long the long proofs run."""

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--full", action="store_true", help="run the proofs at their full length")


@pytest.fixture(scope="session")
def full(request: pytest.FixtureRequest) -> bool:
    """True when the long forms of the proofs were asked for."""
    return bool(request.config.getoption("--full"))
