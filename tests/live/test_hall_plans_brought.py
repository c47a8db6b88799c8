"""Plans that stalls bring: in whichever form, and whatever else is in the file."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from showtime.fair.hall import Fair, HallDay
from showtime.live.asked import QuestionError
from showtime.live.hallfiles import brought, parts_of
from showtime.settings import load_fair, shipped


@pytest.fixture(scope="module")
def fair() -> Fair:
    return load_fair(shipped("config/osierholt-fair.yaml"))


@pytest.fixture(scope="module")
def hall(fair: Fair) -> HallDay:
    found = fair.hall(fair.hours[0][0])
    assert found is not None
    return found


def read(fair: Fair, hall: HallDay, file: Path, content: str | bytes) -> Any:
    file.write_bytes(
        content.encode("utf-8", "surrogatepass") if isinstance(content, str) else content
    )
    return brought(fair, hall, parts_of(file))


def tells(fair: Fair, hall: HallDay, file: Path, content: str | bytes) -> str:
    """Where what is wrong stands, or the file itself when nothing is."""
    try:
        read(fair, hall, file, content)
    except QuestionError as told:
        return str(told)
    return str(file)


def test_a_spreadsheets_table_is_read_with_its_marks_and_heads(
    fair: Fair, hall: HallDay, tmp_path: Path
) -> None:
    """Semicolons, a mark of byte order, capitals, more columns than needed."""
    text = (
        "\ufeffPiece;Stall;Remark;Starts\r\n"
        "Frost Bells;The Tin Orchard;loud;2027-02-13T10:30\r\n"
        "\r\n"
        "Small Lights;The Lantern Cart;;2027-02-13T11:00+00:00\r\n"
    )
    found = read(fair, hall, tmp_path / "table.csv", text)
    assert found.stalls == ("The Tin Orchard", "The Lantern Cart")
    assert [hall.local(p.starts).strftime("%H:%M") for p in found.performances[0]] == ["10:30"]


def test_each_fault_is_told_where_it_stands_though_starts_are_the_same(
    fair: Fair, hall: HallDay, tmp_path: Path
) -> None:
    body = {
        "stalls": [
            {"stall": name, "performances": [{"starts": "2027-02-13T10:30", "piece": piece}]}
            for name, piece in (("The Tin Orchard", "Frost Bells"), ("The Lantern Cart", None))
        ]
    }
    body["stalls"][1]["performances"][0].pop("piece")
    text = json.dumps(body, indent=1)
    with pytest.raises(QuestionError) as told:
        read(fair, hall, tmp_path / "plan.json", text)
    line = int(str(told.value).rpartition(".json:")[2].split(":")[0])
    assert "10:30" in text.splitlines()[line - 1] and line > text.splitlines().index(
        '   "stall": "The Lantern Cart",'
    )


def test_a_piece_that_nobody_knows_is_for_the_judge(
    fair: Fair, hall: HallDay, tmp_path: Path
) -> None:
    body = {
        "stall": "The Lantern Cart",
        "performances": [{"starts": "2027-02-13T10:30", "piece": "An Encore"}],
    }
    found = read(fair, hall, tmp_path / "plan.json", json.dumps(body))
    assert found.performances[1][0].piece.name == "An Encore"


_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["stall", "stalls", "day", "performances", "starts", "ends", "piece"]),
            inner,
            max_size=4,
        )
    ),
    max_leaves=20,
)


@settings(
    max_examples=300,
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(content=_VALUES.map(json.dumps) | st.text(max_size=200) | st.binary(max_size=60))
def test_whatever_is_in_a_file_it_is_a_plan_or_told_to_be_none(
    fair: Fair, hall: HallDay, tmp_path: Path, content: str | bytes
) -> None:
    assert tells(fair, hall, tmp_path / "any.json", content).startswith(str(tmp_path))


_CELLS = st.sampled_from(
    ["The Tin Orchard", "2027-02-13T10:30", "Frost Bells", '"', "'=1", "", "\r\n", "x", "9e99"]
)


@settings(
    max_examples=150,
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(rows=st.lists(st.lists(_CELLS, max_size=5), max_size=5), mark=st.sampled_from(",;\t"))
def test_whatever_is_in_a_table_it_is_a_plan_or_told_to_be_none(
    fair: Fair, hall: HallDay, tmp_path: Path, rows: list[list[str]], mark: str
) -> None:
    lines = [mark.join(["stall", "starts", "piece", "ends"]), *(mark.join(row) for row in rows)]
    content = "\n".join(lines)
    assert tells(fair, hall, tmp_path / "any.csv", content).startswith(str(tmp_path))
