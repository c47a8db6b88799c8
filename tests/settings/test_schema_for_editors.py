"""The JSON Schema accepts what people type, and knows each key that the reading knows."""

from __future__ import annotations

import copy
import json
import operator
import re
from typing import Any

import pytest

from showtime.settings import Mapping, Node, Sequence, json_schema, parse_yaml, shipped

BOUNDS = {"minimum": operator.lt, "maximum": operator.gt, "exclusiveMinimum": operator.le}
TYPES = {"object": dict, "array": list, "string": str, "boolean": bool}


def plain(node: Node) -> Any:
    if isinstance(node, Mapping):
        return {pair.key.text: plain(pair.value) for pair in node.pairs}
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    return node.value


def is_type(value: object, name: str) -> bool:
    if name in ("number", "integer"):
        whole = isinstance(value, int) or (isinstance(value, float) and value.is_integer())
        number = isinstance(value, int | float) and not isinstance(value, bool)
        return number and (name == "number" or whole)
    return isinstance(value, TYPES[name])


def faults(value: Any, schema: dict[str, Any], at: str = "$") -> list[str]:
    """What JSON Schema (draft 2020-12) finds wrong; as much of it as is used here."""
    handled = {"$schema", "title", "description", "examples", "type", "enum", "const", "anyOf",
               "oneOf", "properties", "required", "additionalProperties", "dependentRequired",
               "items", "minItems", "maxItems", "uniqueItems", "pattern", "minimum", "maximum",
               "exclusiveMinimum"}  # fmt: skip
    assert set(schema) <= handled, set(schema) - handled
    names = schema.get("type", [])
    names = [names] if isinstance(names, str) else names
    if names and not any(is_type(value, name) for name in names):
        return [f"{at} is no {names}"]
    found = faults_of_value(value, schema, at)
    if "anyOf" in schema and all(faults(value, one, at) for one in schema["anyOf"]):
        found.append(f"{at} fits none")
    if "oneOf" in schema and sum(not faults(value, one, at) for one in schema["oneOf"]) != 1:
        found.append(f"{at} does not fit exactly one")
    if isinstance(value, dict):
        found += faults_of_object(value, schema, at)
    if isinstance(value, list):
        if not schema.get("minItems", 0) <= len(value) <= schema.get("maxItems", 10**9):
            found.append(f"{at} has {len(value)} items")
        if schema.get("uniqueItems") and len(value) != len(set(map(repr, value))):
            found.append(f"{at} has an item twice")
        for n, item in enumerate(value):
            found += faults(item, schema.get("items", {}), f"{at}[{n}]")
    return found


def faults_of_value(value: Any, schema: dict[str, Any], at: str) -> list[str]:
    found = []
    if "enum" in schema and value not in schema["enum"]:
        found.append(f"{at} is none of {schema['enum']}")
    if "const" in schema and value != schema["const"]:
        found.append(f"{at} is not {schema['const']}")
    if "pattern" in schema and isinstance(value, str) and not re.search(schema["pattern"], value):
        found.append(f"{at}: {value} does not match {schema['pattern']}")
    for name, breaks in BOUNDS.items():
        if name in schema and is_type(value, "number") and breaks(value, schema[name]):
            found.append(f"{at}: {value} breaks {name} {schema[name]}")
    return found


def faults_of_object(value: dict[str, Any], schema: dict[str, Any], at: str) -> list[str]:
    properties = schema.get("properties", {})
    found = [f"{at} lacks {name}" for name in schema.get("required", ()) if name not in value]
    for key, needed in schema.get("dependentRequired", {}).items():
        if key in value:
            found += [f"{at} lacks {name}" for name in needed if name not in value]
    for key, one in value.items():
        if key in properties:
            found += faults(one, properties[key], f"{at}.{key}")
        elif schema.get("additionalProperties") is False:
            found.append(f"{at} has the strange key {key}")
        else:
            found += faults(one, schema.get("additionalProperties", {}), f"{at}.{key}")
    return found


@pytest.fixture(scope="module")
def demo() -> dict[str, Any]:
    text = shipped("config/tin-orchard.yaml").read_text(encoding="utf-8")
    value = plain(parse_yaml(text, "tin-orchard.yaml"))
    assert isinstance(value, dict)
    return value


def test_it_is_json() -> None:
    assert json.loads(json.dumps(json_schema())) == json_schema()


def test_the_demo_fits(demo: dict[str, Any]) -> None:
    assert faults(demo, json_schema()) == []


def test_the_demo_shows_nearly_every_key(demo: dict[str, Any]) -> None:
    needs_more_than_a_folder = {"inputs", "controller", "fairnet"}
    unset = set(json_schema()["properties"]) - set(demo)
    assert unset == {"keep_within"} | needs_more_than_a_folder


@pytest.mark.parametrize(
    "change",
    [
        {"stall": "no"}, {"stall": 1984}, {"languages": ["no"]}, {"gap": "0 min"},
        {"gap": "4 min 30 s"}, {"gap": "1.5 h"}, {"keep_within": "90 s"}, {"body": {}},
        {"days": [{"date": "2027-02-13", "opens": "9:05", "closes": "24:00"}]},
        {"voice": {"name": "en-gb", "rate": "170 words/min", "device": "USB Audio"}},
        {"voice": {"pitch": "110 %", "volume": "80 %", "channels": "left", "chime": "rising",
                   "recorded": "my-voice", "by_language": {"en": {"rate": "150 wpm"}}}},
        {"quiet": [{"why": "lunch", "from": "12:00", "until": "12:30", "days": ["2027-02-13"],
                    "every": "2 h", "margin": "1 min", "answers": "softly"}]},
        {"caps": [{"sounding": "15 min", "in_any": "day", "why": "fair rule"}]},
        {"pieces": [{"name": "Frost Bells", "lasts": "4min30s", "level": "74 dB(A)",
                     "heat": "40 K", "current": "400 mA", "answers": "silent"}]},
    ],
)  # fmt: skip
def test_what_people_may_type_fits(demo: dict[str, Any], change: dict[str, Any]) -> None:
    assert faults(demo | change, json_schema()) == []


@pytest.mark.parametrize(
    "change",
    [
        {"figur": "x"}, {"gap": 6}, {"gap": "6"}, {"gap": "soon"}, {"days": [{"opens": "10:00"}]},
        {"caps": [{"performances": 3, "sounding": "15 min", "in_any": "day"}]},
        {"caps": [{"level": "60 dBA", "in_any": "day"}]}, {"caps": [{"performances": 0}]},
        {"quiet": [{"why": "lunch", "from": "12:00"}]}, {"wishes": {"order": ["waits"]}},
        {"pieces": []}, {"wishes": {"prefer_minutes": [60]}}, {"languages": "en"},
        {"languages": ["en", "en"]}, {"voice": {"pitch": 110}}, {"voice": {"chime": "loud"}},
        {"voice": {"by_language": {"en": {"rate": 150}}}}, {"voice": {"channels": "middle"}},
        {"voice": {"by_language": {"en": {"device": "USB Audio"}}}},
    ],
)  # fmt: skip
def test_what_is_wrong_does_not(demo: dict[str, Any], change: dict[str, Any]) -> None:
    assert faults(demo | change, json_schema())


@pytest.mark.parametrize("key", ["stall", "figure", "pieces"])
def test_what_is_needed_is_missed(demo: dict[str, Any], key: str) -> None:
    less = copy.deepcopy(demo)
    del less[key]
    assert faults(less, json_schema()) == [f"$ lacks {key}"]


def test_every_key_is_explained() -> None:
    def unexplained(schema: dict[str, Any], at: str) -> list[str]:
        found = []
        for name, one in schema.get("properties", {}).items():
            if len(one.get("description", "")) < 3:
                found.append(f"{at}.{name}")
            found += unexplained(one, f"{at}.{name}")
        return found + (unexplained(schema["items"], f"{at}[]") if "items" in schema else [])

    assert unexplained(json_schema(), "$") == []
