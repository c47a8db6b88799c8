"""A stall's settings, with its organiser's and its calendars, to a Stall."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo

from showtime.fair import (
    Day,
    Piece,
    QuietInterval,
    Signboard,
    Stall,
    Where,
    budgets,
    wishes,
)
from showtime.settings import hopes, limits
from showtime.settings.agreement import (
    calls_in_order,
    check_inside_fair,
    check_pieces_fit,
    names,
)
from showtime.settings.calendars import Calendars
from showtime.settings.controllerfile import controller
from showtime.settings.fairfile import FairFile
from showtime.settings.files import read_organiser, read_stall
from showtime.settings.joiningfile import joining
from showtime.settings.kinds import closest
from showtime.settings.opening import OpenDays, open_days
from showtime.settings.organiser import Organiser
from showtime.settings.problem import Problems
from showtime.settings.quiets import quiet_by_day
from showtime.settings.stallfile import PieceGroup, StallFile
from showtime.settings.voicefile import speaking
from showtime.settings.wiredup import inputs


def load_stall(path: Path) -> Stall:
    """The stall whose settings are at `path`, with its organiser's file and its calendars.

    Raises SettingsError with every problem of all of these files together.
    """
    problems = Problems()
    written = read_stall(path, Where(str(path), 1, 1), problems)
    organiser: Organiser | None = None
    if written is not None and written.organiser is not None:
        organiser = read_organiser(written, path, problems)
    stall = StallReader(path, written, organiser, problems).stall() if written else None
    if stall is None:
        raise problems.error()
    return stall


@dataclass(frozen=True)
class StallReader:
    """The models of one stall, which stand in the file at `path`, being made into values.

    `away_m`: how far others are away, where its fair tells.
    """

    path: Path
    written: StallFile
    organiser: Organiser | None
    problems: Problems
    away_m: Mapping[str, float] = field(default_factory=dict)

    @property
    def fair(self) -> FairFile | None:
        return self.organiser.written if self.organiser else None

    def stall(self) -> Stall | None:
        """None when there are problems, be they of other stalls."""
        written, problems = self.written, self.problems
        signboard = self._signboard()
        known = self._days_of_fair(signboard.timezone)
        days = self._days(signboard.timezone, known)
        piece_names = names(written, "pieces", problems)
        pieces = tuple(self._piece(group) for group in written.pieces)
        fitting = check_pieces_fit(written.pieces, pieces, days, problems)
        budgets_of = self._budgets(days)
        quiet = self._quiet(days)
        wishes_of = self._wishes(days, fitting, piece_names, quiet)
        calls = calls_in_order(written.calls, problems)
        languages = () if "languages" in written.wrong else written.languages
        line = written.controller.serial if written.controller else None
        wired = inputs(written.inputs, line, problems)
        voice = speaking(written.voice, languages, self.path.parent, problems)
        if problems:
            return None
        return Stall(
            signboard,
            tuple(
                Day(
                    signboard,
                    day.date,
                    day.hours,
                    pieces,
                    quiet[day.date],
                    written.gap,
                    budgets_of[day.date],
                    wishes_of[day.date],
                    calls,
                    day.group.where,
                )
                for day in days.days
            ),
            voice,
            written.keep_within,
            controller(written.controller),
            wired,
            tuple(limits.neighbours(written).values()),
            written.keeper.phone if written.keeper else "",
            joining(written.fairnet, self.path.parent),
        )

    def _signboard(self) -> Signboard:
        written, fair = self.written, self.fair
        zone = written.timezone or (fair.timezone if fair else None)
        if fair and fair.timezone and zone and fair.timezone.key != zone.key:
            self.problems.add(
                written.where_of("timezone"),
                f"the fair keeps the time of {fair.timezone.key}; write that, or leave it out",
            )
        name = written.fair or (fair.fair if fair else None)
        for key, value, example in (
            ("timezone", zone, "Europe/London"),
            ("fair", name, "Osierholt Curiosity Fair"),
        ):
            if value is None and self._is_missing(key):
                self.problems.add(
                    written.where,
                    f"'{key}' is missing, here and with an organiser; add {key}: {example}",
                )
        if "languages" not in written.wrong:
            for tag in written.answers_in:
                if tag not in written.languages:
                    self.problems.add(
                        written.where_of("answers_in"),
                        f"'{tag}' is not among the figure's 'languages'; "
                        f"{closest(tag, [*written.languages])}",
                    )
        return Signboard(
            name or "",
            written.stall,
            written.figure,
            written.languages,
            zone or ZoneInfo("UTC"),
            written.answers_in,
        )

    def _is_missing(self, key: str) -> bool:
        """True when a key that may be inherited is truly not there, rather than not readable."""
        fair_unread = self.fair is None and (
            self.written.organiser is not None or "organiser" in self.written.wrong
        )
        fair_wrong = self.fair is not None and key in self.fair.wrong
        return key not in self.written.wrong and not fair_unread and not fair_wrong

    def _days_of_fair(self, zone: ZoneInfo) -> OpenDays:
        return self.organiser.days(zone) if self.organiser else OpenDays(())

    def _days(self, zone: ZoneInfo, known: OpenDays) -> OpenDays:
        """The stall's own days, or else its fair's."""
        written = self.written
        if not written.days and "days" not in written.wrong:
            if not known.days and self._is_missing("days"):
                self.problems.add(
                    written.where,
                    "'days' is missing, here and with an organiser; add days:"
                    " [{date: 2027-02-13, opens: 10:00, closes: 17:00}]",
                )
            return known
        days = open_days(written.days, zone, self.problems)
        own = OpenDays(days.days, days.certain and "days" not in written.wrong)
        if known.days:
            check_inside_fair(own, known, self.problems)
        return own

    def _piece(self, group: PieceGroup) -> Piece:
        body = self.written.body
        at_rest = body.heat.hold if body and body.heat else 0.0
        return Piece(
            group.name,
            group.lasts,
            group.reset,
            group.level,
            at_rest if group.heat is None else group.heat,
            group.current,
            group.answers,
            group.where,
        )

    def _budgets(self, days: OpenDays) -> dict[date, tuple[budgets.Budget, ...]]:
        written, problems = self.written, self.problems
        known = names(written, "neighbours", problems)
        inherited = self.organiser.caps(written.stall) if self.organiser else ()
        caps = (*written.caps, *inherited)
        limits.check_neighbours(caps, written, known, self.away_m, problems)
        there = limits.neighbours(written)
        lasting = [
            *limits.piece_budgets(written.pieces),
            *limits.body_budgets(written.body, days.days, problems),
        ]
        found = {}
        for day in days.days:
            of_caps = (limits.cap_budget(cap, there, day.hours) for cap in caps)
            found[day.date] = (*(budget for budget in of_caps if budget), *lasting)
        return found

    def _quiet(self, days: OpenDays) -> dict[date, tuple[QuietInterval, ...]]:
        folder, problems = self.path.parent, self.problems
        calendars = self.organiser.calendars if self.organiser else Calendars()
        own = quiet_by_day(self.written.quiet, days, days, folder, calendars, problems)
        if self.organiser is not None:
            zone = next((day.zone for day in days.days), ZoneInfo("UTC"))
            for day, intervals in self.organiser.quiet(days, zone).items():
                own[day] += intervals
        return {
            day: tuple(sorted(intervals, key=lambda quiet: quiet.span))
            for day, intervals in own.items()
        }

    def _wishes(
        self,
        days: OpenDays,
        pieces: tuple[Piece, ...],
        piece_names: list[str],
        quiet: dict[date, tuple[QuietInterval, ...]],
    ) -> dict[date, wishes.Wishes]:
        group, problems = self.written.wishes, self.problems
        if group is None:
            return {day.date: wishes.Wishes() for day in days.days}
        if "pieces" not in self.written.lost:
            hopes.check_pieces(group.fixed, piece_names, problems)
        busy = hopes.busy_by_day(group.busy, days, problems)
        settings = [
            hopes.Setting(day, pieces, quiet[day.date], group.start_on) for day in days.days
        ]
        fixed = hopes.fixed_by_day(group.fixed, days, settings, problems)
        return {
            day.date: wishes.Wishes(
                group.order,
                group.performances,
                group.where_of("performances") if group.performances is not None else None,
                group.start_on,
                group.prefer_minutes,
                tuple(sorted(busy[day.date], key=lambda one: one.span)),
                tuple(sorted(fixed[day.date], key=lambda one: one.at)),
            )
            for day in days.days
        }
