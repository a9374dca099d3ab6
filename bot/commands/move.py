"""underwing move: everything into another database, from an SQLite file to PostgreSQL."""

from __future__ import annotations

from typing import Annotated

import typer

from bot.commands.options import AsJson, EnvFile


def move(
    to: Annotated[str, typer.Option(help="The empty database to move to, postgresql://….")],
    as_json: AsJson = False,
    env_file: EnvFile = None,
) -> None:
    """Copy everything into an empty database, while no bot serves. The old one stays as it is: that is the way back."""
    from bot.commands.work.move import run

    run(to, env_file, as_json=as_json)
