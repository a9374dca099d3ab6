"""underwing load: bring in a clinic's therapists, families and plans."""

from __future__ import annotations

from pathlib import Path

import typer

from bot.clock import RealClock
from bot.commands.options import EnvFile
from bot.messenger.serve import library_of, opened
from bot.settings import Settings, load_settings
from bot.storage import import_caseload as loading
from bot.storage.caseload_file import Caseload, read_caseload
from bot.storage.repositories.invitations import printed


def load(
    file: Path = typer.Argument(help="The caseload, JSON or YAML."),
    env_file: EnvFile = None,
) -> None:
    """Load a caseload file. The same file twice changes nothing; a file with a problem changes nothing."""
    settings = load_settings(env_file)
    caseload = read_caseload(file, list(library_of(settings)))
    done = _load(settings, caseload)
    typer.echo(
        f"Loaded {caseload.clinic.name}: families new {done.families_new}, changed {done.families_changed}, "
        f"as before {done.families_same}."
    )
    for family, name, code in done.invitations:
        whom = f"{name} of family {family}" if family else f"therapist {name}"
        typer.echo(f"Invitation for {whom}, good for 14 days, once: {printed(code)}")
        typer.echo(f"  In the chat with the bot: /start {code}   Link: https://t.me/YOUR_BOT?start={code}")


def _load(settings: Settings, caseload: Caseload) -> loading.Loaded:
    with opened(settings) as store, store.write() as uow:
        return loading.load(uow, caseload, RealClock().now())
