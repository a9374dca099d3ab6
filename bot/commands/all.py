"""All commands, registered."""

from __future__ import annotations

import typer

from bot.commands.backup import backup
from bot.commands.check import check
from bot.commands.day import day
from bot.commands.demo import demo
from bot.commands.digest import digest
from bot.commands.export import export
from bot.commands.load import load
from bot.commands.serve import serve

app = typer.Typer(
    name="underwing",
    help="Coach families at home between a therapist's visits, by chat.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

for command in (load, serve, day, digest, demo, backup, check, export):
    app.command()(command)


@app.callback()
def _whole(debug: bool = typer.Option(False, "--debug", help="Show a traceback for an error.")) -> None:
    """Coach families at home between a therapist's visits, by chat."""
