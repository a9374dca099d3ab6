"""underwing backup: a copy of the database that is whole, made while the bot runs."""

from __future__ import annotations

from pathlib import Path

import typer

from bot.commands.options import AsJson, EnvFile


def backup(
    file: Path = typer.Argument(help="The file to write; it must not exist yet."),
    as_json: AsJson = False,
    env_file: EnvFile = None,
) -> None:
    """Copy the database into a file. Free text stays sealed: keep the key apart, and safe."""
    from bot.commands.work.backup import run

    run(file, env_file, as_json=as_json)
