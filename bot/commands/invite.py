"""underwing invite: a carer of a family, by a one-time link."""

from __future__ import annotations

import typer

from bot.commands.options import AsJson, EnvFile
from bot.domain.ids import CarerId, FamilyId


def invite(
    family: FamilyId = typer.Option(help="The family's id."),
    carer: CarerId | None = typer.Option(None, help="A carer who is listed and has not joined: a new code."),
    name: str | None = typer.Option(None, help="The name of a new carer."),
    role: str = typer.Option("parent", help="What they are to the baby."),
    language: str = typer.Option("en", help="The language they read: en or es."),
    as_json: AsJson = False,
    env_file: EnvFile = None,
) -> None:
    """Invite a carer: print a one-time link and code. A new code takes the place of an unused one."""
    from bot.commands.work.invite import run

    run(family, carer, name, role, language, env_file, as_json=as_json)
