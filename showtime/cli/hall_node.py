"""Opens the organiser's node: the line to the stalls, the page, the terminal, the plan."""

from __future__ import annotations

import socket
import sys
import threading
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from showtime.cli.hall_handing import Handing, brought_by
from showtime.cli.hall_line import broker_here, joining_of
from showtime.cli.options import print_lines, say

if TYPE_CHECKING:
    from showtime.faces.organiser import HallNode, OrganisedHall
    from showtime.fair.hall import HallPlan, Joining
    from showtime.fairnet import Organiser
    from showtime.live import HallDesk, LiveHall
    from showtime.live.clock import Clock

_MOMENT = 1.5
"""Seconds."""


@dataclass(frozen=True)
class Wanted:
    """What was asked for on the command line."""

    day: str = ""
    as_if: str = ""
    plan: Path | None = None
    broker: bool = False
    listen: str = ""
    at: str = ""
    line: Path | None = None
    user: str = ""
    password_file: Path | None = None
    ca: Path | None = None
    desk: str = ""
    no_page: bool = False
    lan: bool = False
    port: int = 8018


def organise(config: Path | None, wanted: Wanted) -> None:
    """The node, day after day, until somebody ends it."""
    from showtime.live import HallDesk, live_hall

    desk = HallDesk.of(config)
    live = live_hall(desk.fair, wanted.day, wanted.as_if)
    brought = brought_by(desk, live.hall, wanted.plan) if wanted.plan else None
    with ExitStack() as closing:
        joining = (
            broker_here(desk.fair, wanted.line, wanted.listen, lan=wanted.lan, closing=closing)
            if wanted.broker
            else joining_of(wanted.at, wanted.user, wanted.password_file, wanted.ca, wanted.line)
        )
        while _lived(_Stays(config, wanted, desk, joining), live, brought):
            live, brought = live.following(), None
            say(f"{live.hall.date:%A %d %B} begins.")
    say("The organiser's desk is closed; each stall goes on by the plan that it has.")


@dataclass(frozen=True)
class _Stays:
    """What stays the same from day to day."""

    config: Path | None
    wanted: Wanted
    desk: HallDesk
    joining: Joining


def _lived(stays: _Stays, live: LiveHall, brought: HallPlan | None) -> bool:
    """One day; True when the next has come, False when somebody has ended it."""
    from showtime.faces.organiser import HallLines, HallNode, OrganisedHall
    from showtime.fairnet import Organiser

    wanted, clock = stays.wanted, live.clock
    with ExitStack() as closing:
        name = wanted.desk or socket.gethostname()
        organiser = Organiser(live.hall, stays.joining, clock, name)
        closing.callback(organiser.close)
        organised = OrganisedHall(live.hall, organiser)
        if not wanted.no_page:
            closing.callback(_page(organised, clock, wanted))
        node = HallNode(organised, clock)
        if live.doubt:
            node.note(f"! {live.doubt}. Set this machine's clock: stalls go by their own.")
        _orders(stays.desk, node, closing)
        _reached(organiser, clock)
        handing = Handing(stays.desk, stays.config, live.hall, organiser, clock, node.note)
        closing.enter_context(handing.beside(brought))
        return node.live(HallLines(say), live.turns_at)


def _page(organised: OrganisedHall, clock: Clock, wanted: Wanted) -> Callable[[], None]:
    """The hall's page, and how to close it. PagesError: its port cannot be had."""
    from showtime.cli.pin import ask_the_first_time
    from showtime.faces.organiser import announced, open_organiser_pages
    from showtime.faces.pages import PinFile

    ask_the_first_time()
    pages = open_organiser_pages(organised, clock.monotonic, wanted.port, lan=wanted.lan)
    print_lines(announced(pages.where.port, lan=wanted.lan))
    if not PinFile.of_this_user().mark:
        print_lines(["It stays shut until there is a PIN: showtime pin"])
    sys.stdout.flush()
    return pages.close


def _reached(organiser: Organiser, clock: Clock) -> None:
    """A moment for the line: a broker that is there is reached before anything is told of it."""
    until, never = clock.monotonic() + _MOMENT, threading.Event()
    while organiser.view().trouble and clock.monotonic() < until:
        clock.wait(never, 0.05)


def _orders(desk: HallDesk, node: HallNode, closing: ExitStack) -> None:
    """Orders from other terminals, and keys of this one."""
    from showtime.faces.organiser import KEYS
    from showtime.fair import ShowtimeError
    from showtime.live import hear_for_hall
    from showtime.triggers import Keys

    keys = Keys(node.key)
    closing.callback(keys.close)
    keys.start()
    if sys.stdin.isatty():
        node.note(KEYS)
    try:
        closing.callback(hear_for_hall(desk.fair.name, node.tell).close)
    except ShowtimeError as error:
        node.note(str(error))
