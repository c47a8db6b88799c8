"""`python -m tests.pictures`: README's pictures, made anew from the demo at fixed moments.

Beside them lie the plan that they show, and a sum of what each shows, by which `--stale` tells
without a browser, and without planning, which faces have changed since.
"""

from __future__ import annotations

import json
import sys
import time

from showtime.faces import documents
from showtime.fair import Plan
from showtime.live import Desk
from showtime.planning import plan
from showtime.settings import shipped
from tests.pictures.camera import a_browser, from_browser, from_paper, keep
from tests.pictures.demo import FOLDER, PLAN, SUMS, TOP, Demo
from tests.pictures.shown import PICTURES, kept_sums, stale

COMMAND = "python -m tests.pictures"


def plan_anew() -> None:
    """Write down the plan that the pictures show; solvers may differ in which of the best it is."""
    day = Desk.of(shipped("config/tin-orchard.yaml")).stall.days[0]
    made = plan(day, limit=60.0, monotonic=time.monotonic)
    assert isinstance(made, Plan)
    body = documents.plan(made)
    del body["seconds"]
    PLAN.write_text(json.dumps(body, indent=1, ensure_ascii=False) + "\n", "utf-8")


def make() -> None:
    FOLDER.mkdir(exist_ok=True)
    plan_anew()
    demo = Demo()
    taken = {p.name: from_paper(demo, p.paper) for p in PICTURES if p.paper}
    with a_browser() as browser:
        if browser is not None:
            taken |= from_browser(demo, browser)
    sums = kept_sums()
    for each in PICTURES:
        if each.name not in taken:
            print(f"left as it was, for want of a chromium: {each.name}")
            continue
        keep(taken[each.name], each.file)
        sums[each.name] = each.sum(demo)
        print(f"{each.file.relative_to(TOP)}: {each.file.stat().st_size / 1000:.0f} kB")
    SUMS.write_text(json.dumps(sums, indent=1, sort_keys=True) + "\n", "utf-8")


def main() -> int:
    if sys.argv[1:] == []:
        make()
        return 0
    if sys.argv[1:] != ["--stale"]:
        print(f"{COMMAND} makes them anew; with --stale it tells which have changed")
        return 2
    found = stale(Demo())
    if found:
        print(f"{', '.join(found)}: changed since its picture was taken; run: {COMMAND}")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
