"""underwing init: ask the few questions of a new installation, and write its settings file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bot.commands.options import AsJson


def init(
    file: Annotated[Path, typer.Argument(help="The settings file to write; it must not exist yet.")] = Path(
        "underwing.env"
    ),
    token: Annotated[
        str | None,
        typer.Option(help="The bot's token; else it is asked for, unseen.", envvar="UNDERWING_TOKEN"),
    ] = None,
    data: Annotated[
        Path | None, typer.Option(help="The folder of database and key; else it is asked for.")
    ] = None,
    database: Annotated[
        str | None,
        typer.Option(help="postgresql://…; empty for a file in the data folder; else it is asked for."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Ask for the bot's token and where its data live, and write the settings file, for its owner's eyes alone."""
    from bot.commands.work.init import run

    run(file, token, data, database, as_json=as_json)
