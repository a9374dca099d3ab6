"""underwing erase: remove a family and everything kept of it."""

from __future__ import annotations

import typer

from bot.commands.options import AsJson, EnvFile, FamilyId


def erase(
    family: FamilyId,
    yes: bool = typer.Option(False, "--yes", help="Do not ask."),
    as_json: AsJson = False,
    env_file: EnvFile = None,
) -> None:
    """Erase a family: words, minutes, plan, carers and sealed payloads. The log of who did what stays, without words."""
    from bot.commands.work.erase import run

    run(family, env_file, yes=yes, as_json=as_json)
