"""The plan on the terminal."""

from __future__ import annotations

from showtime.fair import Plan


def show_plan(plan: Plan) -> None:
    """Print the plan with its timeline, as wide as the terminal is."""
    from rich.console import Console

    from showtime.faces.timeline import timeline

    console = Console()
    console.print(timeline(plan, console.width, colour=not console.no_color))
