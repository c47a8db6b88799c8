"""Whatever the text, the YAML reader gives a tree or places inside it."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from showtime.settings import Mapping, Node, Scalar, Sequence, SettingsError, parse_yaml

PIECES = ["a", "b: ", "c:\n", "  ", "\n", "\t", "- ", "? ", ": ", "[", "]", "{", "}", ",", "&x ",
          "*x", "<<: ", "!!str ", "!y ", "|\n", ">\n", "'", '"', "#", "%", "@", "`", "---\n",
          "...\n", "\\", "\r\n", "\r", "é", "🎪", "\x00", "\ufeff", "\u2028", "\x85", "10:30",
          "%YAML 1.2\n", "null", "0x", "~"]  # fmt: skip
TEXTS = st.lists(st.sampled_from(PIECES), max_size=40).map("".join) | st.text(max_size=80)


def wheres(node: Node) -> list[tuple[int, int]]:
    found = [(node.where.line, node.where.column)]
    if isinstance(node, Sequence):
        found += [one for item in node.items for one in wheres(item)]
    if isinstance(node, Mapping):
        for pair in node.pairs:
            found += wheres(pair.key) + wheres(pair.value)
    return found


def check(text: str) -> None:
    lines = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    places, told = [], []
    try:
        places = wheres(parse_yaml(text, "f.yaml"))
    except SettingsError as error:
        places = [(problem.where.line, problem.where.column) for problem in error.problems]
        told = [problem.message for problem in error.problems]
    assert all(message.isprintable() for message in told)
    for line, column in places:
        assert 1 <= line <= len(lines)
        assert 1 <= column <= len(lines[line - 1]) + 1


def explored(examples: int) -> None:
    limits = settings(
        max_examples=examples,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=[HealthCheck.too_slow],
    )
    limits(given(TEXTS)(check))()


def test_a_tree_or_places_come_of_any_text(full: bool) -> None:
    explored(20_000 if full else 500)


def test_the_slower_parser_is_as_careful(monkeypatch: pytest.MonkeyPatch, full: bool) -> None:
    monkeypatch.delattr(yaml, "CSafeLoader")
    explored(20_000 if full else 300)


PLAIN = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**9), 10**9)
    | st.text(alphabet="abc xyz:-#'\"é🎪", max_size=12),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(st.text(alphabet="abcdef", min_size=1, max_size=6), inner, max_size=4)
    ),
    max_leaves=12,
)


def plain(node: Node) -> object:
    if isinstance(node, Mapping):
        return {pair.key.text: plain(pair.value) for pair in node.pairs}
    if isinstance(node, Sequence):
        return [plain(item) for item in node.items]
    assert isinstance(node, Scalar)
    return node.value


def test_what_a_general_writer_writes_is_read_back(full: bool) -> None:
    """PyYAML's own writer, which quotes whatever YAML 1.1 or 1.2 could take for something else."""

    def back(value: object) -> None:
        for style in (True, False, None):
            text = yaml.safe_dump(value, default_flow_style=style, allow_unicode=True)
            text = text.removesuffix("...\n")
            assert plain(parse_yaml(text, "f.yaml")) == value, text

    limits = settings(
        max_examples=5_000 if full else 200, deadline=None, derandomize=True, database=None
    )
    limits(given(PLAIN)(back))()
