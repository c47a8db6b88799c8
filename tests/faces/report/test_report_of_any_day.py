"""Whatever happened on a day, and whatever happened to its journal, the report tells no more."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from showtime.faces.report import document, page, printed, tables
from showtime.fair import Plan
from showtime.live.account import account_in
from showtime.live.incidents import incidents
from showtime.live.journal import JournalError

Live = Callable[..., Any]

REASONS = ("a string snapped", "a speech in the hall")


def orders_by_chance(plan: Plan, seed: int) -> list[tuple[timedelta, tuple[str, ...]]]:
    """What befalls rehearsed days, and often."""
    found: list[tuple[timedelta, tuple[str, ...]]] = []
    for each in incidents(plan, 0.7, random.Random(seed)):
        after = max(each.at - plan.day.hours.start, timedelta(minutes=1))
        found += [(after, words) for words in each.orders]
        if each.power:
            found.append((after, ("cut",)))
    return found


def test_any_day_is_told_as_its_own_ledger_has_it(
    live: Live, saturday_plan: Plan, full: bool
) -> None:
    for seed in range(25 if full else 2):
        day = live(
            saturday_plan,
            orders=orders_by_chance(saturday_plan, seed),
            seed=seed,
            asks=80,
            name=f"{seed}.journal",
        )
        date = saturday_plan.day.date
        account = account_in(day.stall, day.clock.now(), date, day.path)
        told = document(account)
        assert told["asked"]["total"] == account.state.asked
        assert len(told["performances"]) == len(account.state.played)
        outcomes = [promise.outcome.value for promise in account.promises]
        for name in ("kept", "changed", "broken", "open"):
            assert told["promises"][name] == outcomes.count(name)
        assert told["promises"]["broken"] == 0
        assert all(cap["share"] <= 1.000001 for cap in told["caps"]), seed
        body = page([told]).split("<main>")[1].split("</main>")[0]
        ElementTree.fromstring(f"<main>{body}</main>".replace("&nbsp;", " "))
        printed([told])
        shared = page([document(account, share=True)])
        assert not any(reason in shared for reason in REASONS)


def test_wherever_a_journal_is_damaged_nothing_is_told_that_was_not(
    live: Live, saturday_plan: Plan, tmp_path: Path, full: bool
) -> None:
    day = live(saturday_plan, asks=60, orders=orders_by_chance(saturday_plan, 2))
    date, now = saturday_plan.day.date, day.clock.now()
    whole = account_in(day.stall, now, date, day.path)
    body, luck = day.path.read_bytes(), random.Random(7)
    told, refused = 0, list[str]()
    for number in range(300 if full else 25):
        torn = bytearray(body)
        for _ in range(luck.randint(1, 4)):
            begins = luck.randrange(len(torn))
            length = luck.choice((1, 40, 4096, 20_000))
            torn[begins : begins + length] = luck.randbytes(len(torn[begins : begins + length]))
        file = tmp_path / f"torn-{number}.journal"
        file.write_bytes(torn[: luck.choice((len(torn), len(torn) // 2))])
        try:
            found = account_in(day.stall, now, date, file)
        except JournalError as error:
            refused.append(str(error))
            continue
        told += 1
        assert set(found.events) <= set(whole.events)
        shown = document(found)
        assert shown["record"]["damaged"] or found.events == whole.events
        page([shown]), tables(shown)
    assert told > 10
    assert all(re.search(r"torn-\d+\.journal: ", each) for each in refused)
