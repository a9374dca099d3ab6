"""underwing export: everything of one family in a folder, in forms that records, calendars and programs take."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from bot.commands.options import AsJson, EnvFile, FamilyId


def export(
    family: FamilyId,
    to: Annotated[Path, typer.Option(help="A new or empty folder.")],
    language: Annotated[
        Literal["en", "es"], typer.Option(help="The language of the clinic's papers.")
    ] = "en",
    bot_name: Annotated[
        str | None,
        typer.Option(help="The bot's name at the messaging service, for the code on the fridge sheet."),
    ] = None,
    as_json: AsJson = False,
    env_file: EnvFile = None,
) -> None:
    """Write a family's whole record: digest of the last 7 days, visit note, all sessions and messages, plan, calendar.

    The folder holds private health information: keep it as you keep the clinic's records.
    """
    from bot.commands.work.export import run

    run(family, to, language, bot_name, env_file, as_json=as_json)
