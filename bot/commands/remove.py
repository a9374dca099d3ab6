"""underwing remove: end the part of a carer or of a therapist."""

from __future__ import annotations

import typer

from bot.commands.options import AsJson, EnvFile
from bot.domain.ids import CarerId, FamilyId


def remove(
    family: FamilyId | None = typer.Option(None, help="The family's id, with --carer."),
    carer: CarerId | None = typer.Option(None, help="The id of the carer whose part ends."),
    therapist: str | None = typer.Option(None, help="The id of the therapist whose part ends, with --to."),
    to: str | None = typer.Option(None, help="The id of the therapist who takes the families over."),
    as_json: AsJson = False,
    env_file: EnvFile = None,
) -> None:
    """End the part of a carer or a therapist at once. Take them out of the caseload file as well."""
    from bot.commands.work.remove import run

    run(family, carer, therapist, to, env_file, as_json=as_json)
