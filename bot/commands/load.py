"""underwing load: bring in a clinic's therapists, families and plans."""

from __future__ import annotations

from pathlib import Path

import typer

from bot.commands.options import AsJson, EnvFile


def load(
    file: Path = typer.Argument(help="The caseload, JSON or YAML."),
    as_json: AsJson = False,
    env_file: EnvFile = None,
) -> None:
    """Load a caseload file. The same file twice changes nothing; a file with a problem changes nothing."""
    from bot.commands.work.load import run

    run(file, env_file, as_json=as_json)
