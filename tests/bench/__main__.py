"""`python -m tests.bench [room ...]`: the figures in one table. They are shown, not asserted."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

from rich.console import Console
from rich.table import Table

from tests.bench.row import Row

HERE = Path(__file__).parent


def rooms(wanted: list[str]) -> list[str]:
    there = sorted(file.stem for file in HERE.glob("*.py") if not file.stem.startswith("__"))
    return [room for room in there if room != "row" and (not wanted or room in wanted)]


def shown(row: Row) -> tuple[str, str, str, str, str]:
    target = "" if row.target is None else f"{row.target:g} {row.unit}"
    verdict = "" if row.target is None else ("within" if row.figure <= row.target else "OVER")
    return row.name, f"{row.figure:.4g} {row.unit}", target, verdict, row.beside


def main() -> None:
    table = Table("what", "figure", "target", "", "how, and beside what")
    for room in rooms(sys.argv[1:]):
        for row in importlib.import_module(f"tests.bench.{room}").rows():
            print("  ".join(part for part in shown(row) if part), flush=True)
            table.add_row(*shown(row))
    Console(width=160).print(table)


if __name__ == "__main__":
    main()
