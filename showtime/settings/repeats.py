"""Rules by which calendar events repeat: what RFC 5545, section 3.3.10, allows in them.

The library that works the rules out trusts them: one that never comes true keeps it busy for
minutes, and an interval of 0 for ever. So they are looked at first.
"""

from __future__ import annotations

import re

_FREQUENCIES = ("YEARLY", "MONTHLY", "WEEKLY", "DAILY", "HOURLY", "MINUTELY")
_RANGES = {
    "BYHOUR": (0, 23),
    "BYMINUTE": (0, 59),
    "BYSECOND": (0, 59),
    "BYMONTH": (1, 12),
    "BYMONTHDAY": (-31, 31),
    "BYYEARDAY": (-366, 366),
    "BYWEEKNO": (-53, 53),
    "BYSETPOS": (-366, 366),
    "INTERVAL": (1, 10_000),
    "COUNT": (1, 100_000),
}
_NEVER_ZERO = ("BYMONTHDAY", "BYYEARDAY", "BYWEEKNO", "BYSETPOS")
_DAY = re.compile(r"[+-]?(?:[1-9]|[1-4][0-9]|5[0-3])?(?:MO|TU|WE|TH|FR|SA|SU)")
_UNTIL = re.compile(r"(?:19[7-9][0-9]|2[01][0-9]{2})[0-9]{4}(?:T[0-9]{6}Z?)?")
_LAST_DAYS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)

# Parts that a rule of each frequency cannot have; sub-daily rules with such parts may never come
# true, and would be tried minute by minute until the year 9999.
_BARRED = {
    "DAILY": ("BYYEARDAY", "BYWEEKNO", "BYSETPOS"),
    "WEEKLY": ("BYMONTHDAY", "BYYEARDAY", "BYWEEKNO"),
    "MONTHLY": ("BYYEARDAY", "BYWEEKNO"),
    "YEARLY": (),
    "HOURLY": ("BYMONTH", "BYMONTHDAY", "BYYEARDAY", "BYWEEKNO", "BYSETPOS"),
    "MINUTELY": ("BYMONTH", "BYMONTHDAY", "BYYEARDAY", "BYWEEKNO", "BYSETPOS"),
}


def fault_of_rule(rule: str) -> str:
    """What is wrong with the value of an RRULE, and what would be right; empty when nothing is."""
    parts: dict[str, str] = {}
    for part in rule.upper().split(";"):
        name, _, value = part.partition("=")
        if name in parts:
            return f"the rule says {name[:20]} twice; keep one"
        parts[name] = value
    if parts.get("FREQ") not in _FREQUENCIES:
        return f"the rule needs a frequency; write FREQ= and one of {', '.join(_FREQUENCIES)}"
    for name, value in parts.items():
        if not _is_right(name, value):
            return f"{name[:20]}={value[:30]} means nothing in a rule; mend or delete it"
    barred = [name for name in _BARRED[parts["FREQ"]] if name in parts]
    if barred:
        return f"{barred[0]} has no meaning in a {parts['FREQ']} rule here; use a coarser FREQ"
    if "COUNT" in parts and "UNTIL" in parts:
        return "the rule has both COUNT and UNTIL; keep one"
    return "" if _can_happen(parts) else "no month has such a day; mend BYMONTH or BYMONTHDAY"


def _is_right(name: str, value: str) -> bool:
    items = value.split(",")
    if name in _RANGES:
        low, high = _RANGES[name]
        whole = all(re.fullmatch(r"[+-]?[0-9]{1,6}", item) for item in items)
        one = len(items) == 1 or name.startswith("BY")
        return (
            whole
            and one
            and all(low <= int(item) <= high for item in items)
            and not (name in _NEVER_ZERO and any(int(item) == 0 for item in items))
        )
    if name == "BYDAY":
        return all(_DAY.fullmatch(item) for item in items)
    if name == "UNTIL":
        return bool(_UNTIL.fullmatch(value))
    return name == "FREQ" or (
        name == "WKST" and value in ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
    )


def _can_happen(parts: dict[str, str]) -> bool:
    if "BYMONTH" not in parts or "BYMONTHDAY" not in parts:
        return True
    longest = max(_LAST_DAYS[int(month) - 1] for month in parts["BYMONTH"].split(","))
    return any(abs(int(day)) <= longest for day in parts["BYMONTHDAY"].split(","))


def steps(rule: str, days: float) -> float:
    """About how many moments must be tried to follow a rule, valid so far, over so many days."""
    parts = dict(part.split("=", 1) for part in rule.upper().split(";"))
    a_day = {"HOURLY": 24, "MINUTELY": 1440}.get(parts["FREQ"], 1) / int(parts.get("INTERVAL", 1))
    times = 1
    for name in ("BYHOUR", "BYMINUTE", "BYSECOND"):
        times *= parts.get(name, "").count(",") + 1
    return days * max(a_day, 1 / 366) * times
