"""The figures of a day that stand side by side with another day's."""

from __future__ import annotations

from typing import Any

Document = dict[str, Any]


def figures(found: Document) -> list[tuple[str, str]]:
    """Name and value, as people read them; a dash where there is nothing to tell."""
    waits, promises, phrases = found["waits"], found["promises"], found["phrases"]
    played = found["performances"]
    lates = [row["late_seconds"] for row in played]
    return [
        ("performances", str(len(played))),
        ("planned", _or_dash(found["planned"])),
        ("planned and not played", str(len(found["not_played"]))),
        ("broken off", str(sum(row["interrupted"] for row in played))),
        ("latest start", f"{max(lates):.1f} s late" if lates else "–"),
        ("questions asked", str(found["asked"]["total"])),
        ("wait promised by the plan, on average", _min(waits["promised_mean"])),
        ("the same by the starts that there were", _min(waits["kept_mean"])),
        ("wait of those who asked, on average", _min(waits["mean"])),
        ("half of them waited less than", _min(waits["median"])),
        ("the longest wait", _min(waits["longest"])),
        ("asked after the last start", str(waits["in_vain"])),
        ("promises kept", str(promises["kept"])),
        ("promises changed", str(promises["changed"])),
        ("changes apologised for", str(promises["apologised"])),
        ("promises broken", str(promises["broken"])),
        ("promises still open", str(promises["open"])),
        ("sentences said", str(phrases["said"])),
        ("different sentences", str(phrases["distinct"])),
        ("said again", str(phrases["repeats"])),
        ("incidents", str(len(found["incidents"]))),
        ("motors at most, estimated", _used(found, "heat")),
        ("motors at most, measured", _celsius((found["heat"] or {}).get("highest_measured_c"))),
        ("charge, estimated", _used(found, "battery")),
    ]


def _used(found: Document, rule: str) -> str:
    return next((str(cap["used"]) for cap in found["caps"] if cap["rule"] == rule), "–")


def _celsius(celsius: float | None) -> str:
    return "–" if celsius is None else f"{celsius:.1f} °C"


def _min(minutes: float | None) -> str:
    return "–" if minutes is None else f"{minutes:.1f} min"


def _or_dash(value: object) -> str:
    return "–" if value is None else str(value)
