"""What plays a script to the kit's decoders: Python, MicroPython, and a program in C++11."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from showtime.figure.kit import decoders, headers

Player = Callable[[str], list[str]]
"""Takes a script, as play.py describes it; gives the lines that were told."""

STRICT = ("-std=c++11", "-O1", "-Wall", "-Wextra", "-Wpedantic", "-Werror", "-fno-exceptions")


@pytest.fixture(scope="session")
def vectors(top: Path) -> Path:
    """The folder of test vectors."""
    return top / "tests" / "triggers" / "vectors"


@pytest.fixture(scope="session")
def micropython() -> Path:
    """MicroPython's module for node."""
    folder = os.environ.get("SHOWTIME_MICROPYTHON")
    if shutil.which("node") is None:
        pytest.skip("node is not installed, and MicroPython runs in it here")
    if not folder:
        pytest.skip(
            "SHOWTIME_MICROPYTHON names no folder: copy tests/figure/kit/package.json into an"
            " empty one, run npm install there, and name it"
        )
    module = "node_modules/@micropython/micropython-webassembly-pyscript/micropython.mjs"
    return Path(folder) / module


@pytest.fixture(scope="session")
def compiler() -> str:
    found = shutil.which("g++")
    if found is None:
        pytest.skip("g++ is not installed, and the headers are tried with it")
    return found


@pytest.fixture(scope="session")
def kit(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The kit's files, alone in a folder as on a controller."""
    folder = tmp_path_factory.mktemp("kit")
    for name, text in {**decoders(), **headers()}.items():
        (folder / name).write_text(text, "utf-8")
    return folder


def run(command: list[str | Path], folder: Path, given: str | None = None) -> str:
    done = subprocess.run(
        [str(word) for word in command],
        cwd=folder,
        input=given,
        capture_output=True,
        text=True,
        timeout=500,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="session")
def python_player(kit: Path, vectors: Path) -> Player:
    """The kit's files under CPython, with nothing of the program within reach."""
    shutil.copy(vectors / "play.py", kit)
    code = "import sys; sys.path.append('.'); from play import play; play(sys.stdin, print)"
    return lambda script: run([sys.executable, "-I", "-c", code], kit, script).splitlines()


@pytest.fixture(scope="session")
def micropython_player(micropython: Path, kit: Path, vectors: Path) -> Player:
    sources = [*(kit / name for name in decoders()), vectors / "play.py"]

    def play(script: str) -> list[str]:
        (kit / "script").write_text(script, "utf-8")
        player: list[str | Path] = ["node", vectors / "play.mjs", micropython, kit / "script"]
        return run([*player, *sources], kit).splitlines()

    return play


@pytest.fixture(scope="session")
def cpp_player(compiler: str, kit: Path, vectors: Path) -> Player:
    program = kit / "play"
    run([compiler, *STRICT, "-I", kit, vectors / "play.cpp", "-o", program], kit)
    return lambda script: run([program], kit, script).splitlines()


@pytest.fixture(params=["python", "micropython", "cpp"])
def player(request: pytest.FixtureRequest) -> Player:
    found: Player = request.getfixturevalue(f"{request.param}_player")
    return found


@pytest.fixture(params=["micropython", "cpp"])
def other_player(request: pytest.FixtureRequest) -> Player:
    """One that runs somewhere else than the program does."""
    found: Player = request.getfixturevalue(f"{request.param}_player")
    return found
