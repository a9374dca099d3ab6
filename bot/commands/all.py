"""All commands, registered."""

from __future__ import annotations

from importlib.metadata import entry_points

import typer

from bot.commands.backup import backup
from bot.commands.check import check
from bot.commands.day import day
from bot.commands.digest import digest
from bot.commands.enrol import enrol
from bot.commands.erase import erase
from bot.commands.export import export
from bot.commands.invite import invite
from bot.commands.learn import learn
from bot.commands.load import load
from bot.commands.read import read
from bot.commands.remove import remove
from bot.commands.serve import serve
from bot.commands.unread import unread

app = typer.Typer(
    name="underwing",
    help="Coach families at home between a therapist's visits, by chat.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

for command in (
    load,
    enrol,
    invite,
    serve,
    day,
    learn,
    read,
    digest,
    check,
    unread,
    export,
    remove,
    erase,
    backup,
):
    app.command()(command)

# What plays on the demo's messaging server is added from outside: the bot knows nothing of the demo.
for added in sorted(entry_points(group="underwing.commands")):
    app.command(added.name)(added.load())


@app.callback()
def _whole(debug: bool = typer.Option(False, "--debug", help="Show a traceback for an error.")) -> None:
    """Coach families at home between a therapist's visits, by chat."""
