"""The commands about how the figure sounds."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

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
)

if TYPE_CHECKING:
    from showtime.live import RecordingDesk


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
def voice() -> None:
    """How the figure sounds: a voice that you record yourself, and how well it is understood."""


@voice.command()
@with_json
def devices(as_json: bool) -> None:
    """List the sound cards, by the names that settings may use.

    Example: showtime voice devices
    """
    from showtime.faces import sounds
    from showtime.live import sound_cards

    document = sounds.devices(sound_cards())
    print_json(document) if as_json else print_lines(sounds.device_lines(document))
    sys.exit(0 if document["devices"] else 1)


@voice.command()
@click.option("--language", default="", help="Only voices that speak it: de, pt-BR, ...")
@with_json
def voices(language: str, as_json: bool) -> None:
    """List the embedded voices, by the names that settings may use, and their variants.

    Example: showtime voice voices --language de
    """
    from showtime.faces import sounds
    from showtime.live import voices_there

    document = sounds.voices(voices_there(language), language)
    print_json(document) if as_json else print_lines(sounds.voice_lines(document))
    sys.exit(0 if document["voices"] else 1)


def with_extent(command: Callable[..., None]) -> Callable[..., None]:
    """The options that say which voice, and what it is to cover."""
    for option in (
        click.option("--missing", is_flag=True, help="Only what is not recorded yet."),
        click.option("--smallest", is_flag=True, help="The fewest fragments, with more joins."),
        click.option("--every-minute", is_flag=True, help="All 1,440 times, not your grid's."),
        click.option(
            "--situation",
            "situations",
            multiple=True,
            metavar="NAME",
            help="Only this one, and others so named; default: all.",
        ),
        click.option("--folder", type=FILE, help="The recorded voice; default: your settings'."),
        with_language,
        with_config,
    ):
        command = option(command)
    return command


def recording_desk(
    config: Path | None,
    language: str,
    folder: Path | None,
    situations: tuple[str, ...],
    every_minute: bool,
    smallest: bool,
    missing: bool,
) -> RecordingDesk:
    """The desk of a recorded voice, by the options of `with_extent`."""
    from showtime.live import Extent, RecordingDesk

    extent = Extent.of(situations, every_minute, smallest, missing)
    return RecordingDesk.of(desk_of(config), language, folder, extent)


@voice.command()
@with_extent
@click.option("--out", type=FILE, metavar="FILE", help="Write it there: .txt, or .pdf to print.")
@with_json
def script(out: Path | None, as_json: bool, **options: Any) -> None:
    """What to read out, so that the figure speaks in your own voice.

    Example: showtime voice script --out script.pdf
    """
    from showtime.faces import recording

    desk = recording_desk(**options)
    document = recording.script(desk.script(), desk.desk.stall.signboard.stall)
    if out is not None:
        desk.write(out, recording.printed(document, out.suffix))
    if as_json:
        print_json(document)
    elif out is None:
        print_lines(recording.script_lines(document))
    print_to = complain if out is None or as_json else say
    for line in recording.script_summary(document):
        print_to(line)


@voice.command()
@click.argument("recording_file", type=FILE, metavar="RECORDING")
@with_extent
@click.option("--script", "script_file", type=FILE, help="The script that was read, if changed.")
@click.option("--all", "every", is_flag=True, help="Show every fragment, not only the doubtful.")
@click.option("--dry", is_flag=True, help="Only look: keep nothing.")
@with_json
def cut(
    recording_file: Path,
    script_file: Path | None,
    every: bool,
    dry: bool,
    as_json: bool,
    **options: Any,
) -> None:
    """Cut a recording of the script into its fragments, and keep them. WAV, FLAC, MP3, OGG.

    Example: showtime voice cut evening.wav --folder my-voice
    """
    from showtime.faces import recording

    desk = recording_desk(**options)
    found = desk.cut(recording_file, script_file)
    document = recording.cut(found, desk)
    if not dry:
        desk.keep(found)
    print_json(document) if as_json else print_lines(recording.cut_lines(document, not every))
    if not dry:
        complain(f"kept in {desk.folder}")
    sys.exit(1 if document["not_read"] else 0)


@voice.command()
@with_extent
@with_json
def check(as_json: bool, **options: Any) -> None:
    """What a recorded voice cannot say yet, after phrases or names have changed.

    Example: showtime voice check --folder my-voice
    """
    from showtime.faces import recording

    desk = recording_desk(**options)
    document = recording.check(desk.missing(), len(desk.kept()), desk)
    print_json(document) if as_json else print_lines(recording.check_lines(document))
    sys.exit(1 if document["missing"] else 0)


@voice.command()
@with_config
@with_day
@with_language
@click.option("--plan", "planned", is_flag=True, help="The day's plan, not every five minutes.")
@click.option("--snr", default="", metavar="DB,DB", help="In a crowd so far below: 20,10,5.")
@click.option("--voice", "name", default="", help="Try another voice than your settings'.")
@click.option("--rate", type=click.IntRange(80, 450), help="Try so many words a minute.")
@click.option("--folder", type=FILE, help="Try the voice recorded there.")
@click.option("--seed", type=int, default=1, help="Another seed, another crowd; default: 1.")
@with_json
def listen(
    config: Path | None,
    day: str,
    language: str,
    planned: bool,
    snr: str,
    name: str,
    rate: int | None,
    folder: Path | None,
    seed: int,
    as_json: bool,
) -> None:
    """Let a speech recogniser hear the times that the figure tells, also in a crowd (English).

    Needs the extra 'listen'. Exit 1: fewer than 97 % are understood in a quiet room.

    Example: showtime voice listen --snr 20,10
    """
    from showtime.faces import hearing
    from showtime.live import HearingDesk

    desk = desk_of(config)
    ear = HearingDesk.of(
        desk,
        language,
        numbers_of(snr),
        complain,
        voice=name,
        words_a_minute=rate,
        folder=folder,
        seed=seed,
    )
    times = ear.times(desk.plan(desk.day(day), LIMIT) if planned else None)
    heard = list(ear.heard(times))
    shares = ear.shares(heard)
    document = hearing.document(ear, heard, shares, ear.trials(heard, times))
    print_json(document) if as_json else print_lines(hearing.lines(document))
    sys.exit(0 if shares[0].enough else 1)


def numbers_of(text: str) -> list[float]:
    """Numbers with commas between."""
    try:
        found = [float(part) for part in text.split(",") if part.strip()]
    except ValueError:
        found = [float("nan")]
    if not all(-30 <= number <= 60 for number in found):
        raise click.BadParameter(
            f"{text!r}: write decibels from -30 to 60 with commas, such as 20,10,5",
            param_hint="--snr",
        )
    return found
