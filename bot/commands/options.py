"""Options that several commands share."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bot.domain import ids

EnvFile = Annotated[
    Path | None,
    typer.Option("--env-file", help="A file of settings, NAME=value a line; the environment goes first."),
]
FamilyId = Annotated[ids.FamilyId, typer.Option("--family", help="The family's id.")]
AsJson = Annotated[bool, typer.Option("--json", help="Answer in JSON, for programs.")]
