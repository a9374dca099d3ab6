"""underwing rehearse: a plan lived for weeks by invented families, offline, before a baby gets it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from bot.commands.options import AsJson, EnvFile


def rehearse(
    caseload: Annotated[
        Path, typer.Argument(help="The caseload, JSON or YAML; nothing of it is stored or sent.")
    ],
    weeks: Annotated[int, typer.Option(min=1, max=12, help="How many weeks are lived.")] = 4,
    family: Annotated[str | None, typer.Option(help="Whose plan; else the first family's.")] = None,
    seed: Annotated[int, typer.Option(help="The same seed lives the same weeks.")] = 1,
    png: Annotated[Path, typer.Option(help="Where the picture goes.")] = Path("underwing-rehearsal.png"),
    as_json: AsJson = False,
    env_file: EnvFile = None,
) -> None:
    """Live a plan for weeks with families of six kinds: how many reminders, how ill-timed, what is reached."""
    from demo.weeks.caseload import checked_caseload

    checked, chosen, library = checked_caseload(caseload, family, env_file)
    # What lives the weeks is loaded only once there is something to live.
    from demo.weeks.rehearse import run

    try:
        run(checked, chosen, library, weeks, seed, png, as_json=as_json)
    except KeyboardInterrupt:
        typer.echo("\nStopped. Nothing runs any more.", err=True)
        raise typer.Exit(1) from None
