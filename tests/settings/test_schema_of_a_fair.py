"""The JSON Schema of a fair's file, judged by jsonschema, which knows nothing of the reading."""

from __future__ import annotations

import copy
import json
from typing import Any

import jsonschema
import pytest

from showtime.settings import Mapping, Node, Sequence, json_schema, parse_yaml, shipped

SCHEMA = json_schema(fair=True)
CHECK = jsonschema.Draft202012Validator(SCHEMA)


def plain(node: Node) -> Any:
    """A located tree as an editor's own YAML library would give it."""
    if isinstance(node, Mapping):
        return {pair.key.text: plain(pair.value) for pair in node.pairs}
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    return node.value


@pytest.fixture(scope="module")
def demo() -> dict[str, Any]:
    text = shipped("config/osierholt-fair.yaml").read_text(encoding="utf-8")
    found: dict[str, Any] = plain(parse_yaml(text, "osierholt-fair.yaml"))
    return found


def test_it_is_a_schema_and_is_json() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert json.loads(json.dumps(SCHEMA)) == SCHEMA
    assert SCHEMA["title"] != json_schema()["title"]


def test_so_is_that_of_a_stall() -> None:
    jsonschema.Draft202012Validator.check_schema(json_schema())


def test_the_demo_fits(demo: dict[str, Any]) -> None:
    assert [error.message for error in CHECK.iter_errors(demo)] == []


def test_the_demo_shows_every_key(demo: dict[str, Any]) -> None:
    assert set(SCHEMA["properties"]) == set(demo)


PIECES = [{"name": "The Fold", "lasts": "3 min"}]
STALL = {"stall": "Owl", "figure": "Hoot", "place": {"x": "0 m", "y": "-3.5 m"}, "pieces": PIECES}


@pytest.mark.parametrize(
    "change",
    [
        {"stalls": []}, {"stalls": [STALL]}, {"together": []}, {"patterns": None}, {"patterns": {}},
        {"stalls": [{"file": "a.yaml", "place": {"x": "0 m", "y": "50 cm"}}]},
        {"noise": [{"level": "62 dBA", "in_any": "day"}]},
        {"noise": [{"level": "62 dBA", "in_any": "1 h", "stalls": ["Owl", 1984], "why": "x"}]},
        {"caps": [{"sounding": "15 min", "in_any": "day", "stalls": ["Owl"]}]},
        {"together": [{"stalls": 3, "within": "12.5 m", "why": "the hall echoes"}]},
        {"stalls": [STALL | {"fairnet": {"broker": "10.0.0.1", "user": "owl", "ca": "ca.pem"}}]},
    ],
)  # fmt: skip
def test_what_people_may_type_fits(demo: dict[str, Any], change: dict[str, Any]) -> None:
    assert [error.message for error in CHECK.iter_errors(demo | change)] == []


@pytest.mark.parametrize(
    "change",
    [
        {"togther": []}, {"together": [{"stalls": 0}]}, {"together": [{"within": "3 m"}]},
        {"together": [{"stalls": 1, "within": 6}]}, {"noise": [{"level": "62 dBA"}]},
        {"noise": [{"level": 62, "in_any": "day"}]}, {"pieces": PIECES}, {"organiser": "x.yaml"},
        {"caps": [{"performances": 3, "in_any": "day", "stalls": []}]},
        {"caps": [{"performances": 3, "in_any": "day", "stalls": "Owl"}]},
        {"stalls": [{"file": "a.yaml"}]}, {"stalls": [{"place": {"x": "0 m", "y": "0 m"}}]},
        {"stalls": [STALL | {"file": "a.yaml"}]}, {"stalls": [STALL | {"place": {"x": "0 m"}}]},
        {"stalls": [STALL | {"place": [0, 0]}]}, {"stalls": "a.yaml"},
        {"stalls": [{key: STALL[key] for key in ("stall", "figure", "pieces")}]},
        {"stalls": [STALL | {"fairnet": {"broker": "10.0.0.1", "password": "secret"}}]},
        {"stalls": [STALL | {"fairnet": {"broker": "10.0.0.1", "password_file": "a.txt"}}]},
        {"stalls": [STALL | {"fairnet": {"broker": "mqtt://hall"}}]},
    ],
)  # fmt: skip
def test_what_is_wrong_does_not(demo: dict[str, Any], change: dict[str, Any]) -> None:
    assert list(CHECK.iter_errors(demo | change))


def test_a_fair_has_a_name(demo: dict[str, Any]) -> None:
    less = copy.deepcopy(demo)
    del less["fair"]
    (error,) = CHECK.iter_errors(less)
    assert error.message == "'fair' is a required property"


def test_an_editor_says_of_a_stall_in_place_what_it_lacks(demo: dict[str, Any]) -> None:
    """Not that it fits none of two forms, which helps nobody."""
    less = {key: value for key, value in STALL.items() if key != "pieces"}
    (error,) = CHECK.iter_errors(demo | {"stalls": [less]})
    assert error.message == "'pieces' is a required property"


def test_every_key_is_explained() -> None:
    def unexplained(schema: dict[str, Any], at: str) -> list[str]:
        found = []
        for name, one in schema.get("properties", {}).items():
            if len(one.get("description", "")) < 3:
                found.append(f"{at}.{name}")
            found += unexplained(one, f"{at}.{name}")
        for key in ("items", "then", "else"):
            found += unexplained(schema[key], f"{at}[]") if key in schema else []
        return found

    assert unexplained(SCHEMA, "$") == []
