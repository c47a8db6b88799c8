"""What is typed means what a person means: the core schema of YAML 1.2.2, section 10.3.2."""

from __future__ import annotations

import math
from typing import Any

import pytest
import yaml

from showtime.settings import (
    Mapping,
    Node,
    Scalar,
    Sequence,
    SettingsError,
    parse_yaml,
    shipped,
)


def plain(node: Node) -> Any:
    """The tree as plain Python values."""
    if isinstance(node, Mapping):
        return {pair.key.text: plain(pair.value) for pair in node.pairs}
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    return node.value


def complaints(text: str) -> list[str]:
    with pytest.raises(SettingsError) as caught:
        parse_yaml(text, "f.yaml")
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("10:30", "10:30"), ("no", "no"), ("yes", "yes"), ("on", "on"), ("off", "off"), ("y", "y"),
        ("010", 10), ("0o10", 8), ("0x1F", 31), ("12", 12), ("-12", -12), ("+12", 12),
        ("1_000", "1_000"), ("1,000", "1,000"), ("0b11", "0b11"), ("1:30:00", "1:30:00"),
        ("2027-02-13", "2027-02-13"), ("1.5", 1.5), ("1e3", 1000.0), (".5", 0.5), ("5.", 5.0),
        ("-1.5e-3", -0.0015), (".inf", math.inf), ("-.INF", -math.inf), ("1.2.3", "1.2.3"),
        ("true", True), ("False", False), ("TRUE", True), ("tRue", "tRue"),
        ("null", None), ("~", None), ("", None), ("Null", None), ("nil", "nil"),
        ("'no'", "no"), ("'12'", "12"), ('"null"', "null"), ("''", ""), ("=", "="),
        ("4 min 30 s", "4 min 30 s"), ("20 %", "20 %"), ("21 °C", "21 °C"), ("-", [None]),
    ],
)  # fmt: skip
def test_a_value_means_what_it_looks_like(typed: str, meant: object) -> None:
    assert plain(parse_yaml(f"key: {typed}" if typed != "-" else "key:\n  -", "f.yaml")) == {
        "key": meant
    }


def test_the_standards_own_example() -> None:
    """YAML 1.2.2, example 10.9 "Core Tag Resolution"; .NAN equals nothing."""
    text = (
        'A null: null\nAlso a null: # Empty\nNot a null: ""\n'
        "Booleans: [ true, True, false, FALSE ]\nIntegers: [ 0, 0o7, 0x3A, -19 ]\n"
        "Floats: [\n  0., -0.0, .5, +12e03, -2E+05 ]\n"
        "Also floats: [\n  .inf, -.Inf, +.INF, .NAN ]\n"
    )
    read = plain(parse_yaml(text, "f.yaml"))
    assert math.isnan(read["Also floats"].pop())
    assert read == {
        "A null": None,
        "Also a null": None,
        "Not a null": "",
        "Booleans": [True, True, False, False],
        "Integers": [0, 7, 58, -19],
        "Floats": [0.0, -0.0, 0.5, 12000.0, -200000.0],
        "Also floats": [math.inf, -math.inf, math.inf],
    }


def test_the_typed_text_is_kept_beside_the_meaning() -> None:
    node = parse_yaml("key: 010", "f.yaml")
    assert isinstance(node, Mapping)
    value = node.get("key")
    assert isinstance(value, Scalar)
    assert (value.text, value.value, value.quoted) == ("010", 10, False)


def test_not_a_number_is_one() -> None:
    node = parse_yaml(".nan", "f.yaml")
    assert isinstance(node, Scalar)
    assert isinstance(node.value, float) and math.isnan(node.value)


def test_every_node_and_every_key_knows_its_place() -> None:
    node = parse_yaml("# words\nquiet:\n  - {why: lunch, from: 13:00}\n", "f.yaml")
    assert isinstance(node, Mapping)
    key = node.pairs[0].key
    assert str(key.where) == "f.yaml:2:1"
    entries = node.get("quiet")
    assert isinstance(entries, Sequence)
    assert str(entries.where) == "f.yaml:3:3"
    entry = entries.items[0]
    assert isinstance(entry, Mapping)
    assert str(entry.where) == "f.yaml:3:5"
    assert [str(pair.key.where) for pair in entry.pairs] == ["f.yaml:3:6", "f.yaml:3:18"]
    assert [str(pair.value.where) for pair in entry.pairs] == ["f.yaml:3:11", "f.yaml:3:24"]


def test_columns_count_characters_not_bytes() -> None:
    node = parse_yaml("{é😀: ü, b: c}", "f.yaml")
    assert isinstance(node, Mapping)
    assert [pair.key.where.column for pair in node.pairs] == [2, 9]


def test_all_kinds_of_line_ends_count_once() -> None:
    node = parse_yaml("a: 1\r\nb: 2\rc: 3\n", "f.yaml")
    assert isinstance(node, Mapping)
    assert [pair.key.where.line for pair in node.pairs] == [1, 2, 3]


def test_an_empty_document_means_nothing() -> None:
    for text in ("", "\n\n", "# only words\n", "---\n", "\ufeff"):
        assert plain(parse_yaml(text, "f.yaml")) is None


def test_aliases_stand_for_their_anchors() -> None:
    assert plain(parse_yaml("a: &one [1, 2]\nb: *one\n", "f.yaml")) == {"a": [1, 2], "b": [1, 2]}


def test_an_anchor_may_be_used_anew() -> None:
    text = "a: &x 1\nb: *x\nc: &x 2\nd: *x\n"
    assert plain(parse_yaml(text, "f.yaml")) == {"a": 1, "b": 1, "c": 2, "d": 2}


def test_merged_keys_give_way_to_those_beside_them() -> None:
    text = "base: &base {a: 1, b: 2}\nmore: {<<: *base, b: 3, c: 4}\n"
    assert plain(parse_yaml(text, "f.yaml")) == {
        "base": {"a": 1, "b": 2},
        "more": {"b": 3, "c": 4, "a": 1},
    }


def test_of_several_merged_the_first_counts() -> None:
    text = "- &a {x: 1}\n- &b {x: 2, y: 3}\n- {<<: [*a, *b]}\n"
    assert plain(parse_yaml(text, "f.yaml"))[2] == {"x": 1, "y": 3}


def test_a_merged_key_keeps_the_place_where_it_was_written() -> None:
    node = parse_yaml("base: &base {a: 1}\nmore: {<<: *base}\n", "f.yaml")
    assert isinstance(node, Mapping)
    more = node.get("more")
    assert isinstance(more, Mapping)
    assert str(more.pairs[0].value.where) == "f.yaml:1:17"


def test_long_texts_may_be_folded() -> None:
    assert plain(parse_yaml("why: >-\n  the judges\n  come by\n", "f.yaml")) == {
        "why": "the judges come by"
    }


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("a:\n\tb: 1\n", "2:1: a tab stands here; use spaces"),
        ("a:\n  - x\n\t- y\n", "3:1: a tab stands here"),
        ("a: [1, 2\nb: 3\n", "1:4: this '[' is never closed; add ']' where it ends"),
        ("a:\n  - {x: 1\n  - {x: 2}\n", "2:5: this '{' is never closed"),
        ("a: 'abc\nb: 3\n", "1:4: this quote is never closed"),
        ("a: 1\n  b: 2\n", "2:4: a ':' here does not belong to a key"),
        ("a:\n    b: 1\n  c: 2\n", "3:3: 'c' is out of place; indent the line as its"),
        ("a: 1\nb\nc: 3\n", "2:1: this line has no ':' after its key"),
        ("b\nc: 3\n", "1:1: this line has no ':' after its key"),
        ("a: b: c\n", "1:5: a ':' here does not belong to a key"),
        ("a: {why: x: y}\n", "1:11: ':' is out of place"),
        ("a: @x\n", "1:4: text cannot begin with '@'; put the text in quotes"),
        ("a: `x\n", "1:4: text cannot begin with '`'"),
        ("a: %x\n", "1:4: text cannot begin with '%'"),
        ("%x\na: 1\n", "1:"),
        ("a: & b\n", "1:5: '&' begins an anchor"),
        ("a: * b\n", "1:5: '*' begins an alias"),
        ("a: *b\n", "1:4: no anchor &b comes before this alias"),
        ("a: &b [*b]\n", "1:8: *b stands inside &b itself"),
        ("a:\n  - 1\n  b: 2\n", "3:3: a list goes on here without '-'"),
        ("- 1\nb: 2\n", "1:1: a list begins the file, then keys follow"),
        ("  a: 1\nb: 2\n", "1:1: this line is indented, later ones are not"),
        ('a: "\\q"\n', "1:5: a backslash in double quotes"),
        ("a: 1\n---\nb: 2\n", "2:1: a second document begins here"),
        ("a: 1\n...\nb: 2\n", "3:1: what comes before this is complete"),
        ("a: |x\n  b\n", "1:5: after '|' or '>' the text begins on the next line"),
        ("a: !mine b\n", "1:4: the tag !mine has no meaning here"),
        ("a: !!int 1\n", "1:4: the tag tag:yaml.org,2002:int has no meaning"),
        ("a: !x!y b\n", "1:4: '!' begins a tag"),
        ("? [a]\n: b\n", "1:3: a key must be one word"),
        ("a: 1\na: 2\n", "2:1: 'a' is here twice, first on line 1"),
        ("a: {<<: 1}\n", "1:9: '<<' merges keys; give it an alias"),
        ("}\n", "1:1: '}' is out of place"),
        ("a: x\x00y\n", "1:5: a hidden character (U+0000)"),
        ("a: x\u2028y\n", "1:5: a hidden character (U+2028)"),
        ("a: x\ud800\n", "1:5: a hidden character (U+D800)"),
    ],
)
def test_a_fault_is_told_in_a_persons_words_at_its_place(text: str, told: str) -> None:
    assert complaints(text)[0].startswith(f"f.yaml:{told}")


def test_a_machine_without_the_fast_parser_reads_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    text = shipped("config/tin-orchard.yaml").read_text(encoding="utf-8")
    broken = ["a: [1\nb: x: y\nc: {k: @}\n", "a: 'abc\n", "a:\n\tb: 1\n", "a:\n  - 1\n  b: 2\n",
              "a: |x\n", "a: 1\nb\nc: 3\n", "a: & b\n", "  a: 1\nb: 2\n"]  # fmt: skip
    fast = parse_yaml(text, "f.yaml"), [complaints(one) for one in broken]
    monkeypatch.delattr(yaml, "CSafeLoader")
    assert (parse_yaml(text, "f.yaml"), [complaints(one) for one in broken]) == fast


def test_faults_behind_a_fault_are_told_too() -> None:
    text = "a: [1\nb: x: y\nc:\n  - {k: @}\n  - {k: 1}\n  - {k: `}\nd: 1\nd: 2\n"
    places = [told.split(": ")[0] for told in complaints(text)]
    assert places == ["f.yaml:1:4", "f.yaml:2:5", "f.yaml:4:9", "f.yaml:6:9", "f.yaml:8:1"]


def test_a_bomb_of_aliases_is_defused() -> None:
    levels = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    levels += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 20)]
    told = complaints("\n".join(levels))
    assert len(told) == 1
    assert "holds more than 200000 values, aliases counted" in told[0]


@pytest.mark.parametrize("text", ["[" * 100_000, "- " * 100_000, "{a: " * 50_000, "? " * 50_000])
def test_endless_nesting_is_refused(text: str) -> None:
    told = complaints(text)
    assert len(told) == 1
    assert "deep" in told[0]
