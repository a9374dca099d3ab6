"""underwing restore: bring a backup back."""

from __future__ import annotations

from pathlib import Path

import typer

from bot.commands.options import AsJson, EnvFile


def restore(
    file: Path = typer.Argument(help="The backup to bring back."),
    as_json: AsJson = False,
    env_file: EnvFile = None,
) -> None:
    """Put a backup in the database's place, once it is found whole. Stop the bot first; what was there is kept beside it."""
    from bot.commands.work.restore import run

    run(file, env_file, as_json=as_json)
