"""The commands. Each parses, calls, prints, and imports only the rooms that it needs.

Exit: 0 good, 1 the answer is "no", 2 wrong input, each problem a line on stderr.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from showtime.live import Desk

_LIMIT = 20.0
"""Seconds that the planner may take where a command does not say."""

_FILE = click.Path(path_type=Path)

_config = click.argument("config", type=_FILE, required=False)
_day = click.option("--day", default="", metavar="YYYY-MM-DD", help="Default: today, or the first.")
_json = click.option("--json", "as_json", is_flag=True, help="One JSON document, nothing else.")
_limit = click.option(
    "--limit",
    type=click.FloatRange(min=0.01),
    default=_LIMIT,
    metavar="SECONDS",
    help="How long the planner may take; default: 20.",
)
_now = click.option("--now", default="", metavar="MOMENT", help="As if then: 2027-02-13T14:12.")
_language = click.option("--language", default="", help="Which phrase bank; default: the first.")


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="showtime")
def app() -> None:
    """Plans, announces and starts the performances of one mechanical figure on a fair stall.

    CONFIG is the stall's settings; without it, config/tin-orchard.yaml in this folder, else the
    demo that comes with the program.
    """


@app.command()
@_config
@_day
@_limit
@_json
def plan(config: Path | None, day: str, limit: float, as_json: bool) -> None:
    """Plan a day: the best that the limits allow, with the proof.

    Example: showtime plan --day 2027-02-14
    """
    from showtime.faces import documents, show_plan

    desk = _desk(config)
    made = desk.plan(desk.day(day), limit, fresh=True)
    print_json(documents.plan(made)) if as_json else show_plan(made)


@app.command()
@click.argument("at", metavar="TIME")
@_config
@_day
@click.option("--piece", default="", help="Which piece; default: any.")
@_limit
@_json
def why(at: str, config: Path | None, day: str, piece: str, limit: float, as_json: bool) -> None:
    """Why not then? Every rule that stands in the way, and what would have to move.

    Example: showtime why 14:30 --piece "Frost Bells"
    """
    from showtime.faces import documents, plain

    desk = _desk(config)
    chosen = desk.day(day)
    found = desk.why_not(chosen, at, piece, limit)
    if as_json:
        print_json(documents.why(chosen, found))
    else:
        _print_lines(plain.why(chosen, found))
    sys.exit(0 if found.allowed else 1)


@app.command()
@_config
@_day
@click.option("--plan", "plan_file", type=_FILE, metavar="FILE", help="Judge this plan (JSON).")
@_json
def check(config: Path | None, day: str, plan_file: Path | None, as_json: bool) -> None:
    """Check the settings, or with --plan a plan from anywhere against every rule.

    Example: showtime check --plan plan.json
    """
    from showtime.faces import documents, plain
    from showtime.settings import SettingsError

    try:
        desk = _desk(config)
    except SettingsError as error:
        if as_json:
            print_json(documents.problems(error.problems))
        raise
    if plan_file is None:
        for each in desk.stall.days:
            desk.could_be_planned(each)
        print_json(documents.problems(())) if as_json else _print_lines(plain.stall(desk.stall))
        return
    chosen, performances = desk.plan_from(plan_file, day)
    found = desk.broken(chosen, performances)
    if as_json:
        print_json(documents.broken(chosen, found))
    else:
        _print_lines(plain.broken(chosen, found))
    sys.exit(1 if found else 0)


@app.command("next")
@_config
@_day
@_now
@_language
@click.option("--wav", type=_FILE, metavar="FILE", help="Write the spoken words there.")
@click.option("--silent", is_flag=True, help="Print the words, say nothing.")
@click.option("--seed", type=int, help="The same words each time.")
@_json
def next_(
    config: Path | None,
    day: str,
    now: str,
    language: str,
    wav: Path | None,
    silent: bool,
    seed: int | None,
    as_json: bool,
) -> None:
    """When is the next one? In the figure's own words, and aloud.

    Example: showtime next --now 2027-02-13T14:12 --silent
    """
    from showtime.faces import documents

    desk = _desk(config)
    asked = desk.asked(day, now)
    sentence = desk.sentence(desk.plan(asked.day, _LIMIT), asked.now, language, seed)
    if as_json:
        print_json(documents.sentence(asked.day, sentence))
    else:
        _print_lines([sentence.text])
    sys.stdout.flush()
    if wav is not None:
        desk.write_wav(sentence, wav)
    elif not silent:
        desk.speak(sentence, complain)


@app.command()
@_config
@_language
@click.option("--situation", default="next", help="next, soon, call, playing, late, changed, ...")
@click.option("--at", default="", metavar="TIME", help="The start that is told.")
@_now
@click.option("--limit", type=click.IntRange(min=0), default=20, help="So many sentences.")
@click.option("--times", is_flag=True, help="How every minute of the day is told.")
@click.option("--audit", is_flag=True, help="The variety of each situation.")
@click.option("--bank", type=_FILE, metavar="FILE", help="A phrase bank of your own.")
@_json
def phrases(
    config: Path | None,
    language: str,
    situation: str,
    at: str,
    now: str,
    limit: int,
    times: bool,
    audit: bool,
    bank: Path | None,
    as_json: bool,
) -> None:
    """What the figure may say: sentences, times, variety.

    Example: showtime phrases --situation next --at 14:30 --limit 5
    """
    from showtime.faces import phrases as shown

    desk = _desk(config)
    loaded = desk.bank(language, bank)
    if times:
        document = shown.times(loaded)
    elif audit:
        document = shown.audit(loaded, desk.situation)
    else:
        document = shown.sentences(loaded, desk.situation(situation, at, now), limit)
    print_json(document) if as_json else _print_lines(shown.lines(document))


@app.command()
@_config
@_day
@click.option("--seed", type=int, default=1, help="Another seed, another crowd; default: 1.")
@_json
def rehearse(config: Path | None, day: str, seed: int, as_json: bool) -> None:
    """Run a whole day against invented visitors, in about a second.

    Example: showtime rehearse --seed 7
    """
    from showtime.faces import documents, plain

    desk = _desk(config)
    rehearsed, seconds = desk.rehearse(desk.plan(desk.day(day), _LIMIT), seed)
    document = documents.rehearsal(rehearsed, seconds)
    print_json(document) if as_json else _print_lines(plain.rehearsal(document))
    sys.exit(0 if rehearsed.good else 1)


@app.command()
@_config
@_day
@click.option("--as-if", default="", metavar="MOMENT", help="Start the clock there, to practise.")
@click.option("--journal", type=_FILE, metavar="FILE", help="Where the day is recorded.")
@click.option("--silent", is_flag=True, help="Words on the screen only.")
@click.option("--seed", type=int, help="The same words and luck each time.")
def run(
    config: Path | None, day: str, as_if: str, journal: Path | None, silent: bool, seed: int | None
) -> None:
    """The live day. Keys stand on the screen; q or Ctrl-C ends it.

    Example: showtime run --as-if 2027-02-13T10:28
    """
    from showtime.faces import Lines, Screen, plain
    from showtime.live import open_house
    from showtime.triggers import Keys

    house, running = open_house(_desk(config), day, as_if, journal, silent=silent, seed=seed)
    keys = Keys(lambda key: house.key(running, key))
    try:
        keys.start()
        house.live(running, Screen() if sys.stdout.isatty() else Lines(_say))
    finally:
        keys.close()
    _print_lines(plain.day_end(running.state))


@app.command()
def schema() -> None:
    """A JSON Schema of the settings, for editors.

    Example: showtime schema > tin-orchard.schema.json
    """
    from showtime.settings import json_schema

    print_json(json_schema(), indent=2)


@app.command()
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
def completion(shell: str) -> None:
    """Teach your shell to complete commands and options.

    Example: showtime completion bash >> ~/.bashrc
    """
    from click.shell_completion import get_completion_class

    known = get_completion_class(shell)
    if known is not None:
        print(known(app, {}, "showtime", "_SHOWTIME_COMPLETE").source())


def _desk(config: Path | None) -> Desk:
    from showtime.live import Desk

    return Desk.of(config)


def _say(line: str) -> None:
    print(line, flush=True)


def complain(line: str) -> None:
    """A line for the person at the keyboard, beside what was asked for."""
    print(line, file=sys.stderr)


def print_json(document: dict[str, Any], indent: int | None = None) -> None:
    """The one document that --json prints."""
    print(json.dumps(document, ensure_ascii=False, indent=indent))


def _print_lines(lines: Iterable[str]) -> None:
    for line in lines:
        print(line)
