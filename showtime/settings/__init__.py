"""YAML and .ics files to fair values; the only room that reads configuration.

Owns what people may type and what it means. Refuses to guess: half a settings file is no settings
file. Always holds: every problem of all files is told together, each with file:line:column and
what would be right; nothing but SettingsError comes out of a broken file.
"""

from importlib import import_module
from typing import TYPE_CHECKING

from showtime.settings.compose import parse_yaml
from showtime.settings.fairpath import fair_path
from showtime.settings.files import is_fair
from showtime.settings.problem import Problem, SettingsError
from showtime.settings.schema import json_schema
from showtime.settings.shipped import find_config, shipped
from showtime.settings.stall import load_stall
from showtime.settings.tree import Mapping, Node, Pair, Scalar, Sequence

if TYPE_CHECKING:
    from showtime.settings.fair import load_fair

__all__ = [
    "Mapping",
    "Node",
    "Pair",
    "Problem",
    "Scalar",
    "Sequence",
    "SettingsError",
    "fair_path",
    "find_config",
    "is_fair",
    "json_schema",
    "load_fair",
    "load_stall",
    "parse_yaml",
    "shipped",
]


def __getattr__(name: str) -> object:
    if name != "load_fair":  # a single stall does not need what a whole fair does
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return import_module(f"{__name__}.fair").load_fair
