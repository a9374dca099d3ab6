"""underwing serve: run the bot."""

from __future__ import annotations

import typer

from bot.commands.options import EnvFile


def serve(
    env_file: EnvFile = None,
    clock_start: str | None = typer.Option(
        None, "--clock-start", help="Rehearse: stand at this ISO 8601 moment."
    ),
    clock_speed: float = typer.Option(1.0, "--clock-speed", help="Rehearse: run this many times as fast."),
) -> None:
    """Serve families and therapists until told to stop (SIGTERM)."""
    from bot.commands.work.serve import run

    run(env_file, clock_start, clock_speed)
