"""What is built and installed is whole: it plans from an empty folder, on its own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = Path(__file__).parents[1]
    out = tmp_path_factory.mktemp("wheel")
    command = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(out)]
    subprocess.run([*command, str(top)], check=True, capture_output=True, timeout=120)
    (built,) = out.glob("*.whl")
    return built


def test_all_that_is_no_program_is_in_the_wheel_too(wheel):
    names = zipfile.ZipFile(wheel).namelist()
    for name in (
        "phrasebanks/en.yaml",
        "config/tin-orchard.yaml",
        "config/recitals.ics",
        "config/osierholt-fair.yaml",
        "fairnet/PROTOCOL.md",
        "fairnet/schemas/claims.json",
        "faces/hall/hall.js",
        "py.typed",
    ):
        assert f"showtime/{name}" in names
    assert not [name for name in names if name.startswith("tests")]


def test_the_installed_wheel_plans_the_demo_from_an_empty_folder(wheel, tmp_path):
    venv, empty = tmp_path / "venv", tmp_path / "empty"
    empty.mkdir()
    # The dependencies were installed beside these tests; only our own package is looked for anew.
    subprocess.run([sys.executable, "-m", "venv", str(venv)], check=True, timeout=120)
    python = venv / "bin" / "python"
    install = [python, "-m", "pip", "install", "--quiet", "--no-deps", "--no-index", wheel]
    subprocess.run(install, check=True, timeout=120)
    (site,) = (venv / "lib").glob("python*/site-packages")
    theirs = [path for path in sys.path if path.endswith("site-packages")]
    (site / "dependencies.pth").write_text("\n".join(theirs))
    clean = {"PATH": os.environ["PATH"], "HOME": str(tmp_path), "LANG": "C.UTF-8"}
    planned = subprocess.run(
        [venv / "bin" / "showtime", "plan", "--json"],
        cwd=empty,
        env=clean,
        capture_output=True,
        text=True,
        check=True,
        timeout=120,
    )
    assert json.loads(planned.stdout)["stall"] == "The Tin Orchard"
    where = subprocess.run(
        [python, "-c", "import showtime; print(showtime.__file__)"],
        cwd=empty,
        env=clean,
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    assert where.stdout.startswith(str(venv))
