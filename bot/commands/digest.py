"""underwing digest: one family's week, from the records."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from bot.commands.options import EnvFile, FamilyId


def digest(
    family: FamilyId,
    week: Annotated[
        str | None, typer.Option(help="ISO 8601 week in the family's zone, like 2026-W10; else this week.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the digest as JSON.")] = False,
    text: Annotated[bool, typer.Option("--text", help="Print it as text (the default).")] = False,
    pdf: Annotated[Path | None, typer.Option(help="Write the document.")] = None,
    png: Annotated[Path | None, typer.Option(help="Write the picture.")] = None,
    csv: Annotated[Path | None, typer.Option(help="Write every session, one a row.")] = None,
    fhir: Annotated[Path | None, typer.Option(help="Write an HL7 FHIR R4 bundle.")] = None,
    language: Annotated[Literal["en", "es"], typer.Option(help="The language of words.")] = "en",
    env_file: EnvFile = None,
) -> None:
    """Sum up a family's week for the therapist."""
    from bot.commands.work.digest import Files, run

    files = Files(pdf=pdf, png=png, csv=csv, fhir=fhir)
    run(family, week, files, language, env_file, as_json=as_json, text=text)
