"""All commands, registered."""

from __future__ import annotations

import typer

from bot.commands.check import check
from bot.commands.erase import erase
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

for command in (load, serve, check, erase):
    app.command()(command)


@app.callback()
def _whole(debug: bool = typer.Option(False, "--debug", help="Show a traceback for an error.")) -> None:
    """Coach families at home between a therapist's visits, by chat."""
