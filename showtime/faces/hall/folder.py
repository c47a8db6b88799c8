"""All of the organiser's papers, by the names of their files."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path

from showtime.faces.calendar import CalendarError, hall_calendar, updated
from showtime.faces.hall.joint import Joint
from showtime.faces.hall.names import file_names
from showtime.faces.hall.noise import noise_file
from showtime.faces.hall.page import hall_page
from showtime.faces.hall.paper import printed
from showtime.faces.hall.tables import fairness_csv, timetable_csv
from showtime.faces.hall.timetable import timetable
from showtime.live.handout import handout_document


def papers(joint: Joint, folder: Path, now: datetime) -> dict[Path, bytes]:
    """What is to stand in `folder`; calendars bring those up to date that are there already.

    `now` stamps what is new in them. CalendarError: what is there is somebody else's.
    """
    plan, stalls = joint.plan, folder / "stalls"
    found = {
        folder / "hall.html": _text(hall_page(joint)),
        folder / "timetable.html": _text(timetable(joint)),
        folder / "timetable.pdf": printed(joint),
        folder / "timetable.csv": timetable_csv(plan),
        folder / "fairness.csv": fairness_csv(plan),
        folder / "noise.svg": noise_file(joint),
        folder / "hall.ics": _hall_calendar(joint, folder / "hall.ics", now),
    }
    named = zip(file_names(joint.hall.names), joint.handouts, strict=True)
    for name, handout in named:
        part, calendar = plan.plan_of(handout.stall), stalls / f"{name}.ics"
        found[calendar] = updated(calendar, part.day, part.performances, now)
        document = handout_document(handout, part.day)
        found[stalls / f"{name}.json"] = _text(json.dumps(document, ensure_ascii=False, indent=1))
    return found


def _text(text: str) -> bytes:
    return text.encode("utf-8", "replace")


def _hall_calendar(joint: Joint, file: Path, now: datetime) -> bytes:
    try:
        former = file.read_bytes() if file.exists() else None
    except OSError as error:
        raise CalendarError(f"{file}:1:1: cannot read it: {error.strerror}") from None
    plans = [joint.plan.plan_of(name) for name in joint.hall.names]
    return hall_calendar(joint.hall.fair, plans, now, former=former, file=str(file))
