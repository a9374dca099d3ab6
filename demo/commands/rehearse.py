"""underwing rehearse: a week with the clinic's own caseload, offline, before real families live it."""

from __future__ import annotations

import asyncio
from pathlib import Path

import typer

from bot.commands.options import EnvFile


def rehearse(
    caseload: Path = typer.Argument(help="The caseload, JSON or YAML; nothing of it is stored or sent."),
    folder: Path = typer.Option(Path("underwing-rehearsal"), "--into", help="Where the digest's files go."),
    quiet: bool = typer.Option(False, "--quiet", help="Show the progress and the digest only."),
    env_file: EnvFile = None,
) -> None:
    """Play a week of your caseload with carers who tap most reminders: see what would be sent, and when."""
    # As in demo.py: the local messaging server is loaded only where it is needed.
    from bot.clock import RealClock
    from bot.messenger.installation import library_of
    from bot.settings import load_settings
    from bot.storage.caseload_file import read_caseload
    from demo.play import play
    from demo.scenario import scenario_of

    library = library_of(load_settings(env_file))
    checked = read_caseload(caseload, list(library))
    try:
        asyncio.run(play(folder, scenario=scenario_of(checked, RealClock().now()), quiet=quiet))
    except KeyboardInterrupt:
        typer.echo("\nStopped. Nothing runs any more.")
