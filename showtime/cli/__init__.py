"""The commands. Each parses, calls, prints, and imports only the rooms that it needs.

Exit: 0 good, 1 the answer is "no", 2 wrong input, each problem a line on stderr.
"""

from __future__ import annotations

import click

from showtime.cli import after_the_day, at_the_desk, on_the_day, plans
from showtime.cli.hall import hall
from showtime.cli.inputs import inputs
from showtime.cli.new import new
from showtime.cli.notice import notice
from showtime.cli.options import complain, print_json
from showtime.cli.pack import pack
from showtime.cli.pin import pin
from showtime.cli.ready import ready
from showtime.cli.voice import voice

__all__ = ["app", "complain", "print_json"]


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="showtime")
def app() -> None:
    """Plans, announces and starts the performances of one mechanical figure on a fair stall.

    CONFIG is the stall's settings; without it, config/tin-orchard.yaml in this folder, else the
    demo that comes with the program.
    """


for _command in (
    new,
    plans.plan,
    plans.why,
    plans.check,
    at_the_desk.next_,
    at_the_desk.phrases,
    at_the_desk.rehearse,
    ready,
    on_the_day.run,
    on_the_day.tell,
    on_the_day.promises,
    hall,
    pin,
    notice,
    after_the_day.report,
    voice,
    inputs,
    pack,
    at_the_desk.schema,
    at_the_desk.completion,
):
    app.add_command(_command)
