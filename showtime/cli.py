"""The commands. Each parses, calls, prints, and imports only the rooms that it needs.

Exit: 0 good, 1 the answer is "no", 2 wrong input, each problem a line on stderr.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from showtime.live import Desk, NoPlanError

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    help="Plans, announces and starts the performances of one mechanical figure on a fair stall.",
)

Config = Annotated[
    Path | None,
    typer.Argument(
        metavar="[CONFIG]",
        help="The stall's settings; else config/tin-orchard.yaml in this folder, else the demo.",
    ),
]
DayOption = Annotated[
    str,
    typer.Option("--day", metavar="YYYY-MM-DD", help="Which fair day; default: today or first."),
]
Json = Annotated[bool, typer.Option("--json", help="One JSON document on standard output.")]
Limit = Annotated[
    float,
    typer.Option("--limit", metavar="SECONDS", min=0.01, help="How long the planner may take."),
]
Now = Annotated[
    str, typer.Option("--now", metavar="MOMENT", help="As if it were then, e.g. 2027-02-13T14:12.")
]
Language = Annotated[str, typer.Option("--language", help="Which phrase bank; default: the first.")]
Seed = Annotated[int | None, typer.Option("--seed", help="For the same words and luck each time.")]


@app.command()
def plan(
    config: Config = None, day: DayOption = "", limit: Limit = 20.0, as_json: Json = False
) -> None:
    """Plan a day: the best that the limits allow, with the proof.

    Example: showtime plan --day 2027-02-14
    """
    from showtime.faces import documents, show_plan

    desk = _desk(config)
    made = desk.plan(desk.day(day), limit, fresh=True)
    _print_json(documents.plan(made)) if as_json else show_plan(made)


@app.command()
def why(
    at: Annotated[str, typer.Argument(metavar="TIME", help="A time of that day, e.g. 14:30.")],
    config: Config = None,
    day: DayOption = "",
    piece: Annotated[str, typer.Option("--piece", help="Which piece; default: any.")] = "",
    limit: Limit = 20.0,
    as_json: Json = False,
) -> None:
    """Why not then? Every rule that stands in the way, and what would have to move.

    Example: showtime why 14:30 --piece "Frost Bells"
    """
    from showtime.faces import documents, plain

    desk = _desk(config)
    chosen = desk.day(day)
    found = desk.why_not(chosen, at, piece, limit)
    if as_json:
        _print_json(documents.why(chosen, found))
    else:
        _print_lines(plain.why(chosen, found))
    raise typer.Exit(0 if found.allowed else 1)


@app.command()
def check(
    config: Config = None,
    day: DayOption = "",
    plan_file: Annotated[
        Path | None, typer.Option("--plan", metavar="FILE", help="Judge this plan (JSON).")
    ] = None,
    as_json: Json = False,
) -> None:
    """Check the settings, or with --plan a plan from anywhere against every rule.

    Example: showtime check --plan plan.json
    """
    from showtime.faces import documents, plain
    from showtime.settings import SettingsError

    try:
        desk = _desk(config)
    except SettingsError as error:
        if as_json:
            _print_json(documents.problems(error.problems))
        raise
    if plan_file is None:
        for each in desk.stall.days:
            desk.could_be_planned(each)
        _print_json(documents.problems(())) if as_json else _print_lines(plain.stall(desk.stall))
        return
    chosen, performances = desk.plan_from(plan_file, day)
    found = desk.broken(chosen, performances)
    if as_json:
        _print_json(documents.broken(chosen, found))
    else:
        _print_lines(plain.broken(chosen, found))
    raise typer.Exit(1 if found else 0)


@app.command("next")
def next_(
    config: Config = None,
    day: DayOption = "",
    now: Now = "",
    language: Language = "",
    wav: Annotated[
        Path | None, typer.Option("--wav", metavar="FILE", help="Write the spoken words there.")
    ] = None,
    silent: Annotated[bool, typer.Option("--silent", help="Print the words, say nothing.")] = False,
    seed: Seed = None,
    as_json: Json = False,
) -> None:
    """When is the next one? In the figure's own words, and aloud.

    Example: showtime next --now 2027-02-13T14:12 --silent
    """
    from showtime.faces import documents

    desk = _desk(config)
    asked = desk.asked(day, now)
    sentence = desk.sentence(desk.plan(asked.day, 20.0), asked.now, language, seed)
    if as_json:
        _print_json(documents.sentence(asked.day, sentence))
    else:
        _print_lines([sentence.text])
    sys.stdout.flush()
    if wav is not None:
        desk.write_wav(sentence, wav)
    elif not silent:
        desk.speak(sentence, _complain)


@app.command()
def phrases(
    config: Config = None,
    language: Language = "",
    situation: Annotated[str, typer.Option("--situation", help="e.g. next, soon, call.")] = "next",
    at: Annotated[str, typer.Option("--at", metavar="TIME", help="The start that is told.")] = "",
    now: Now = "",
    limit: Annotated[int, typer.Option("--limit", min=0, help="So many sentences.")] = 20,
    times: Annotated[bool, typer.Option("--times", help="How every minute is told.")] = False,
    audit: Annotated[bool, typer.Option("--audit", help="The variety of each situation.")] = False,
    bank: Annotated[
        Path | None, typer.Option("--bank", metavar="FILE", help="A phrase bank of your own.")
    ] = None,
    as_json: Json = False,
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
    _print_json(document) if as_json else _print_lines(shown.lines(document))


@app.command()
def rehearse(
    config: Config = None,
    day: DayOption = "",
    seed: Annotated[int, typer.Option("--seed", help="Another seed, another crowd.")] = 1,
    as_json: Json = False,
) -> None:
    """Run a whole day against invented visitors, in about a second.

    Example: showtime rehearse --seed 7
    """
    from showtime.faces import documents, plain

    desk = _desk(config)
    rehearsed, seconds = desk.rehearse(desk.plan(desk.day(day), 20.0), seed)
    document = documents.rehearsal(rehearsed, seconds)
    _print_json(document) if as_json else _print_lines(plain.rehearsal(document))
    raise typer.Exit(0 if rehearsed.good else 1)


@app.command()
def run(
    config: Config = None,
    day: DayOption = "",
    as_if: Annotated[
        str, typer.Option("--as-if", metavar="MOMENT", help="Start the clock there, to practise.")
    ] = "",
    journal: Annotated[
        Path | None, typer.Option("--journal", metavar="FILE", help="Where the day is recorded.")
    ] = None,
    silent: Annotated[bool, typer.Option("--silent", help="Words on the screen only.")] = False,
    seed: Seed = None,
) -> None:
    """The live day. Keys stand on the screen; q or Ctrl-C ends it.

    Example: showtime run --as-if 2027-02-13T10:28
    """
    from showtime.faces import Lines, Screen, plain
    from showtime.live import open_house
    from showtime.triggers import Keys

    desk = _desk(config)
    house, running = open_house(desk, day, as_if, journal, silent=silent, seed=seed)
    keys = Keys(lambda key: house.key(running, key))
    face = Screen() if sys.stdout.isatty() else Lines(_say)
    try:
        keys.start()
        house.live(running, face)
    finally:
        keys.close()
    _print_lines(plain.day_end(running.state))


@app.command()
def schema() -> None:
    """A JSON Schema of the settings, for editors.

    Example: showtime schema > tin-orchard.schema.json
    """
    from showtime.settings import json_schema

    _print_json(json_schema(), indent=2)


def _desk(config: Path | None) -> Desk:
    from showtime.live import Desk

    return Desk.of(config)


def _say(line: str) -> None:
    print(line, flush=True)


def _complain(line: str) -> None:
    print(line, file=sys.stderr)


def _print_json(document: dict[str, Any], indent: int | None = None) -> None:
    print(json.dumps(document, ensure_ascii=False, indent=indent))


def _print_lines(lines: Iterable[str]) -> None:
    for line in lines:
        print(line)


def _no_plan(error: NoPlanError) -> None:
    from showtime.faces import documents, plain

    if "--json" in sys.argv:
        _print_json(documents.clash(error.day, error.clash))
    for line in plain.clash(error.day, error.clash):
        _complain(line)


def main() -> None:
    """Run the command line; whatever is wrong is a line on stderr, never a traceback."""
    from showtime.fair import ShowtimeError

    try:
        app()
    except ShowtimeError as error:
        from showtime.live import NoPlanError

        if isinstance(error, NoPlanError):
            _no_plan(error)
            sys.exit(1)
        _complain(str(error))
        sys.exit(2)
    except BrokenPipeError:
        # Whoever read our output has gone; there is nobody left to tell.
        sys.stderr.close()
        sys.exit(1)


if __name__ == "__main__":
    main()
