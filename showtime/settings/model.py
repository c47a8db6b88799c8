"""How groups of keys are declared once, read with all their problems, and told to editors.

A model is a frozen dataclass whose fields are declared with `required`, `optional` or `given`.
A field named `from_` stands for the key `from`.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterator
from dataclasses import MISSING, dataclass, field, fields
from typing import Any, ClassVar, Generic, TypeVar

from showtime.fair import Where
from showtime.settings.kinds import Kind, Schema, closest, likeliest
from showtime.settings.problem import Problems
from showtime.settings.tree import Mapping, Node, Scalar

T = TypeVar("T")
M = TypeVar("M", bound="Group")


def required(kind: Kind[T], about: str, stand_in: Any = None) -> T:
    """A key that must be there; `stand_in` is its value in a partial model when it is wrong."""
    # Types say that a field is its value, as those of `field` itself do.
    return field(metadata={"kind": kind, "about": about, "stand_in": stand_in})  # type: ignore[no-any-return]  # a field stands in for its value


def optional(kind: Kind[T], about: str) -> T | None:
    """A key that may be left out, which then means None."""
    return field(default=None, metadata={"kind": kind, "about": about, "stand_in": None})


def given(kind: Kind[T], about: str, default: T) -> T:
    """A key that may be left out, which then means `default`."""
    return field(default=default, metadata={"kind": kind, "about": about, "stand_in": default})


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Group:
    """What every model has: the mapping it was read from, and its keys that were wrong.

    `lost` are those of them that a syntax fault has taken away, wholly or in part.

    A model that is `partial` is given even when keys are wrong, so that the rest is looked at
    too; any other is then given up. `one_of`: exactly one of these keys must be there.
    """

    partial: ClassVar[bool] = False
    one_of: ClassVar[tuple[str, ...]] = ()
    goes_with: ClassVar[dict[str, str]] = {}
    example: ClassVar[str] = ""

    node: Mapping
    wrong: frozenset[str] = frozenset()
    lost: frozenset[str] = frozenset()

    @property
    def where(self) -> Where:
        return self.node.where

    def where_of(self, key: str) -> Where:
        """Where the value of `key` is, or the group when it was left out."""
        value = self.node.get(key)
        return value.where if value else self.node.where


@dataclass(frozen=True)
class Key:
    """One declared key of a model."""

    name: str
    attribute: str
    kind: Kind[Any]
    about: str
    stand_in: Any
    must: bool


_KEYS: dict[type[Group], tuple[Key, ...]] = {}


def keys(model: type[Group]) -> tuple[Key, ...]:
    """The declared keys, in order."""
    if model not in _KEYS:
        _KEYS[model] = tuple(_declared(model))
    return _KEYS[model]


def _declared(model: type[Group]) -> Iterator[Key]:
    for each in fields(model):
        if "kind" in each.metadata:
            name = each.name.rstrip("_")
            must = each.default is MISSING
            yield Key(name, each.name, **each.metadata, must=must)


@dataclass(frozen=True)
class GroupOf(Generic[M]):
    """The kind of a value that is a group of keys."""

    model: type[M]

    @property
    def example(self) -> str:
        return self.model.example

    def read(self, node: Node, problems: Problems) -> M | None:
        if not isinstance(node, Mapping):
            problems.add(node.where, f"a group of keys belongs here; write {self.example}")
            return None
        return read_group(self.model, node, problems)

    def schema(self) -> Schema:
        return group_schema(self.model)


def read_group(
    model: type[M], node: Mapping, problems: Problems, lost: frozenset[str] = frozenset()
) -> M | None:
    """The model's values; None when one is wrong, unless the model is partial.

    Keys that are `lost` to a syntax fault count as wrong already, and are not missed.
    """
    before = problems.count
    known = {key.name: key for key in keys(model)}
    if not model.partial and _is_something_else(node, known):
        strange = [pair.key.text[:20] for pair in node.pairs if pair.key.text not in known]
        problems.add(
            node.where,
            f"keys such as {', '.join(strange[:3])} mean nothing here; write {model.example}",
        )
        return None
    misspelt = _refuse_unknown(node, list(known), problems)
    _refuse_together(model, node, problems)
    values: dict[str, Any] = {}
    wrong = set(lost)
    for key in known.values():
        value = node.get(key.name)
        if value is None:
            if key.name in misspelt:
                wrong.add(key.name)
            elif key.must and key.name not in lost:
                problems.add(
                    node.where, f"'{key.name}' is missing; add {key.name}: {key.kind.example}"
                )
                wrong.add(key.name)
            if key.must:
                values[key.attribute] = key.stand_in
            continue
        count = problems.count
        read = key.kind.read(value, problems)
        if problems.count > count:
            wrong.add(key.name)
        values[key.attribute] = key.stand_in if read is None else read
    if problems.count > before and not model.partial:
        return None
    return model(node=node, wrong=frozenset(wrong), lost=lost, **values)


def _is_something_else(node: Mapping, known: Container[str]) -> bool:
    """True when most keys are strange, and more than one: an entry in the wrong list."""
    strange = sum(pair.key.text not in known for pair in node.pairs)
    return strange > max(1, len(node.pairs) / 2)


def _refuse_unknown(node: Mapping, known: list[str], problems: Problems) -> set[str]:
    """Name the keys that mean nothing here; those that they were likely meant to be."""
    misspelt = set()
    for pair in node.pairs:
        name = pair.key.text
        if name in known:
            continue
        if re.match(r"\d", name) and isinstance(pair.value, Scalar) and not pair.value.text:
            message = f"a comma comes before '{name[:30]}'; write decimals with a point, as 1.5"
        elif ":" in name and name.split(":")[0] in known:
            message = f"there is no space after the ':' in '{name[:30]}'; write key: value"
            misspelt.add(name.split(":")[0])
        else:
            message = f"there is no key '{name[:30]}' here; {closest(name, known)}"
            misspelt.add(likeliest(name, [key for key in known if node.get(key) is None]))
        problems.add(pair.key.where, message)
    return misspelt


def _refuse_together(model: type[Group], node: Mapping, problems: Problems) -> None:
    there = [name for name in model.one_of if node.get(name)]
    if model.one_of and len(there) != 1:
        either = " or ".join(f"'{name}'" for name in model.one_of)
        said = f"only one of {either} belongs here" if there else f"{either} is missing"
        problems.add(node.where, f"{said}; write {model.example}")
    for key, needed in model.goes_with.items():
        if node.get(key) and not node.get(needed):
            problems.add(node.where, f"'{key}' needs '{needed}' beside it; write {model.example}")


def group_schema(model: type[Group]) -> Schema:
    """The JSON Schema of a model."""
    properties = {key.name: key.kind.schema() | {"description": key.about} for key in keys(model)}
    schema: Schema = {"type": "object", "properties": properties, "additionalProperties": False}
    must = [key.name for key in keys(model) if key.must]
    if must:
        schema["required"] = must
    if model.one_of:
        schema["oneOf"] = [{"required": [name]} for name in model.one_of]
    if model.goes_with:
        schema["dependentRequired"] = {key: [also] for key, also in model.goes_with.items()}
    return schema
