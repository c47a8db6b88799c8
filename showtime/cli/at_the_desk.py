"""The commands of the desk that speak: what the figure says, and how a day would go."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from showtime.cli.options import (
    FILE,
    LIMIT,
    complain,
    desk_of,
    print_json,
    print_lines,
    say,
    with_config,
    with_day,
    with_json,
    with_language,
    with_now,
)

if TYPE_CHECKING:
    from showtime.live import Desk
    from showtime.wording import Bank, Sentence, Situation

MOOD = click.Choice(["early", "busy", "last"])


@click.command("next")
@with_config
@with_day
@with_now
@with_language
@click.option("--wav", type=FILE, metavar="FILE", help="Write the spoken words there.")
@click.option("--silent", is_flag=True, help="Print the words, say nothing.")
@click.option("--seed", type=int, help="The same words each time.")
@with_json
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

    desk = desk_of(config)
    asked = desk.asked(day, now)
    said = desk.sentences(desk.plan(asked.day, LIMIT), asked.now, language, seed)
    if as_json:
        print_json(documents.sentence(asked.day, said))
    else:
        print_lines(sentence.text for sentence in said)
    sys.stdout.flush()
    if wav is not None:
        desk.write_wav(said, wav, complain)
    elif not silent:
        desk.speak(said, complain)


@click.command()
@with_config
@with_language
@click.option("--situation", default="next", help="next, soon, call, playing, late, changed, ...")
@click.option("--at", default="", metavar="TIME", help="The start that is told.")
@with_now
@click.option("--mood", "moods", multiple=True, type=MOOD, help="Early, busy or last of the day.")
@click.option("--limit", type=click.IntRange(min=0), default=20, help="So many sentences.")
@click.option("--times", is_flag=True, help="How every minute of the day is told.")
@click.option("--audit", is_flag=True, help="The variety of each situation.")
@click.option("--svg", type=FILE, metavar="FILE", help="Draw the audit there.")
@click.option("--bank", type=FILE, metavar="FILE", help="A phrase bank of your own.")
@click.option("--watch", type=FILE, metavar="FILE", help="Say a new one at each save of that bank.")
@click.option("--silent", is_flag=True, help="With --watch: print the words, say nothing.")
@click.option("--seed", type=int, help="The same words each time.")
@with_json
def phrases(
    config: Path | None,
    language: str,
    situation: str,
    at: str,
    now: str,
    moods: tuple[str, ...],
    limit: int,
    times: bool,
    audit: bool,
    svg: Path | None,
    bank: Path | None,
    watch: Path | None,
    silent: bool,
    seed: int | None,
    as_json: bool,
) -> None:
    """What the figure may say: sentences, times, variety; and each save of a bank, aloud.

    Example: showtime phrases --situation next --at 14:30 --limit 5
    """
    from dataclasses import replace

    from showtime.faces import phrases as shown
    from showtime.wording import Mood

    if watch is not None and (as_json or audit or times or svg is not None):
        raise click.UsageError("--watch says sentences; it goes with none of the other forms")
    desk = desk_of(config)
    if watch is not None:
        at = at or shown.usual_time(situation)
    asked = desk.situation(situation, at, now)
    asked = replace(asked, moods=frozenset(Mood(f"when_{mood}") for mood in moods))
    if watch is not None:
        _watch(config, watch, asked, silent, seed)
        return
    loaded = desk.bank(language, bank)
    if audit or svg is not None:
        _audited(desk, loaded, at, svg, 1 if seed is None else seed, as_json)
        return
    document = shown.times(loaded) if times else shown.sentences(loaded, asked, limit)
    print_json(document) if as_json else print_lines(shown.lines(document))


def _audited(desk: Desk, bank: Bank, at: str, svg: Path | None, seed: int, as_json: bool) -> None:
    from showtime.faces import phrases as shown
    from showtime.faces import variety

    document = variety.judged(desk, bank, at or shown.USUAL_TIME, seed)
    if svg is not None:
        variety.draw(document, desk.stall.signboard.figure, svg)
    print_json(document) if as_json else variety.show(document)


def _watch(
    config: Path | None, file: Path, asked: Situation, silent: bool, seed: int | None
) -> None:
    import random
    import secrets
    import threading

    from showtime.faces.preview import Telling, preview
    from showtime.fair import ShowtimeError

    told = set[str]()

    def once(trouble: str) -> None:
        if trouble not in told:
            told.add(trouble)
            complain(trouble)

    def speak(sentence: Sentence) -> None:
        try:
            desk_of(config).speak([sentence], once)  # anew: its own bank may be what is written
        except ShowtimeError as error:
            once(str(error))

    telling = Telling(say, complain, (lambda _: None) if silent else speak)
    luck = random.Random(secrets.randbits(64) if seed is None else seed)
    try:
        preview(desk_of(config), file, asked, luck, telling, threading.Event())
    except KeyboardInterrupt:
        return


@click.command()
@with_config
@with_day
@click.option("--seed", type=int, default=1, help="Another seed, another crowd; default: 1.")
@with_json
def rehearse(config: Path | None, day: str, seed: int, as_json: bool) -> None:
    """Run a whole day against invented visitors, in about a second.

    Example: showtime rehearse --seed 7
    """
    from showtime.faces import documents, plain

    desk = desk_of(config)
    rehearsed, seconds = desk.rehearse(desk.plan(desk.day(day), LIMIT), seed)
    document = documents.rehearsal(rehearsed, seconds)
    print_json(document) if as_json else print_lines(plain.rehearsal(document))
    sys.exit(0 if rehearsed.good else 1)


@click.command()
@click.option("--fair", is_flag=True, help="Of a fair's file, as its organiser writes it.")
def schema(fair: bool) -> None:
    """A JSON Schema of the settings, for editors.

    Example: showtime schema > tin-orchard.schema.json
    """
    from showtime.settings import json_schema

    print_json(json_schema(fair=fair), indent=2)


@click.command()
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
def completion(shell: str) -> None:
    """Teach your shell to complete commands and options.

    Example: showtime completion bash >> ~/.bashrc
    """
    from click.shell_completion import get_completion_class

    known = get_completion_class(shell)
    if known is not None:
        program = click.get_current_context().find_root().command
        print(known(program, {}, "showtime", "_SHOWTIME_COMPLETE").source())
