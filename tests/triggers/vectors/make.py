"""Make the decoders' test vectors: `python tests/triggers/vectors/make.py [FOLDER]`.

What must come of each case is said in the files of cases, or follows from what was dialled; the
decoders add only the number of the happening and the instant. A case that they read otherwise
stops the making.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from pathlib import Path
from random import Random

HERE = Path(__file__).parent
TOP = HERE.parents[2]
sys.path += [str(TOP), str(TOP / "showtime" / "triggers")]

from case import Case  # noqa: E402
from dial_cases import dial_cases  # noqa: E402
from entry_cases import entry_cases  # noqa: E402
from hand_cases import button_cases, knob_cases  # noqa: E402
from play import play  # noqa: E402


def meaning(line: str) -> str:
    """What a line means, without its number and, of a dial or knobs, its instant."""
    words = line.split()[1:]
    return " ".join(words[2:] if words[0] in ("digit", "doubt", "turned") else words)


def told(case: Case) -> list[str]:
    lines: list[str] = []
    play([case.made, *case.does], lines.append)
    means = [meaning(line) for line in lines[:-1]]
    if case.means == ["doubt"]:
        assert len(means) == 1 and not means[0].isdigit(), (case.name, means)
    else:
        assert means == list(case.means), (case.name, means)
    return lines


def written(cases: Iterable[Case]) -> str:
    """The text of a file: a case a line, each with the script that is played and what is told."""
    lines = [
        json.dumps({"name": case.name, "script": [case.made, *case.does], "told": told(case)})
        for case in cases
    ]
    return "[\n" + ",\n".join(lines) + "\n]\n"


def main(folder: Path) -> None:
    for name, cases in {
        "dial": dial_cases(Random(1)),
        "entry": entry_cases(),
        "knobs": knob_cases(Random(2)),
        "presses": button_cases(),
    }.items():
        (folder / f"{name}.json").write_text(written(cases), "utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
