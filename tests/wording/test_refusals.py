"""A refusal gives the reason that holds, however long the figure has been refusing."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

import pytest

from showtime.settings import SettingsError
from showtime.wording import Bank, Bar, Kind, Situation, choose, parse_bank

Situations = Callable[..., Situation]


@pytest.fixture
def terse(bank_text: Callable[..., str]) -> Bank:
    """Two sentences for each reason, so that all of them are said soon."""
    refused = [
        "<reason>: rather <time>.",
        "<reason>, so <time>.",
        "<reason>, and no other.",
    ]
    reason = "<if_quiet> hush | <if_grid> rounder | <if_other> no"
    text = bank_text({Kind.REFUSED: refused}, {"reason": reason})
    return parse_bank(text, "terse.yaml")


def heard(bank: Bank, situation: Situation, said: list[str], times: int) -> set[str]:
    random = Random(4)
    for _ in range(times):
        said.append(choose(bank, situation, said, random).text)
    return {text.split(",")[0].split(":")[0].casefold() for text in said[-times:]}


def test_each_reason_has_its_words_even_when_all_was_said(terse: Bank, asked: Situations) -> None:
    said: list[str] = []
    for bars, words in (
        (frozenset({Bar.QUIET}), {"hush"}),
        (frozenset({Bar.GRID}), {"rounder"}),
        (frozenset({Bar.HEAT, Bar.GRID}), {"rounder"}),
        (frozenset({Bar.QUIET, Bar.GRID}), {"hush", "rounder"}),
        (frozenset[Bar](), {"no"}),
    ):
        for at in ("14:30", None):
            assert heard(terse, asked(Kind.REFUSED, at, bars=bars), said, 12) == words


def test_a_bank_must_have_a_word_for_any_refusal(bank_text: Callable[..., str]) -> None:
    """One whose every template is for one reason alone would fall silent at another."""
    text = bank_text({Kind.REFUSED: ["<if_quiet> hush, rather <time>.", "<if_quiet> hush."]})
    with pytest.raises(SettingsError, match="'refused' needs a template"):
        parse_bank(text, "narrow.yaml")
