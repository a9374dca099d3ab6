"""All commands, grouped, each with an example. What a command does is loaded when it runs (bot/commands/work)."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, entry_points, version

import typer

from bot.commands.backup import backup
from bot.commands.check import check
from bot.commands.day import day
from bot.commands.digest import digest
from bot.commands.enrol import enrol
from bot.commands.erase import erase
from bot.commands.export import export
from bot.commands.init import init
from bot.commands.invite import invite
from bot.commands.learn import learn
from bot.commands.learn_words import learn_words
from bot.commands.load import load
from bot.commands.move import move
from bot.commands.read import read
from bot.commands.remove import remove
from bot.commands.restore import restore
from bot.commands.rotate_key import rotate_key
from bot.commands.serve import serve
from bot.commands.unread import unread

TRY, SET_UP, RUN, FAMILY = "Try it", "Set up", "Run", "A family"
EXIT_STATUS = (
    "Exit status: 0 done, 1 a problem in the world (or found by check), 2 a problem in what was given."
)


@dataclass(frozen=True, slots=True)
class Command:
    """One command of the help: under which heading it stands, and how it is used, without `underwing` before it."""

    run: Callable[..., None]
    group: str
    example: str


COMMANDS = (
    Command(day, TRY, "day --example"),
    Command(read, TRY, 'read "tummy 12 min, turned right twice" --context context.json'),
    Command(init, SET_UP, "init underwing.env"),
    Command(enrol, SET_UP, 'enrol --name "Robin" --clinic "Harbour Arm Clinic" --zone America/Halifax '
            '--emergency-line "911" --nurse-line "+1 555 0100"'),
    Command(invite, SET_UP, "invite --family pip --name Ada --role mother --language en"),
    Command(load, SET_UP, "load caseload.yaml"),
    Command(check, SET_UP, "check --env-file /etc/underwing.env"),
    Command(serve, RUN, "serve --env-file /etc/underwing.env"),
    Command(unread, RUN, "unread --since 2026-03-01"),
    Command(backup, RUN, "backup /var/backups/underwing-2026-03-02.db"),
    Command(restore, RUN, "restore /var/backups/underwing-2026-03-02.db"),
    Command(rotate_key, RUN, "rotate-key"),
    Command(move, RUN, "move --to postgresql://underwing@localhost/underwing"),
    Command(learn, RUN, "learn --lines --json"),
    Command(learn_words, RUN, 'learn-words "he went all jerky for a bit" --was act_now'),
    Command(digest, FAMILY, "digest --family pip --week 2026-W10 --pdf week.pdf"),
    Command(export, FAMILY, "export --family pip --to pip-record"),
    Command(remove, FAMILY, "remove --family pip --carer ada"),
    Command(erase, FAMILY, "erase --family pip"),
)  # fmt: skip

# Commands that come from outside by entry point: their headings and examples, where we know them.
ADDED = {
    "demo": (TRY, "demo"),
    "rehearse": (TRY, "rehearse caseload.yaml --weeks 4"),
}

app = typer.Typer(
    name="underwing",
    help="Coach families at home between a therapist's visits, by chat.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode="rich",
    epilog=f"{EXIT_STATUS} underwing COMMAND --help shows an example of each.",
)


def _epilog(example: str) -> str:
    return f"Example: underwing {example}"


for command in COMMANDS:
    app.command(rich_help_panel=command.group, epilog=_epilog(command.example))(command.run)

# What plays on the demo's messaging server is added from outside: the bot knows nothing of the demo.
for added in sorted(entry_points(group="underwing.commands")):
    group, example = ADDED.get(added.name, (TRY, added.name))
    app.command(added.name, rich_help_panel=group, epilog=_epilog(example))(added.load())


def _tell_version(wanted: bool) -> None:
    if wanted:
        try:
            typer.echo(f"underwing {version('underwing')}")
        except PackageNotFoundError:
            typer.echo("underwing, run from its source folder, not installed")
        raise typer.Exit


@app.callback()
def _whole(
    debug: bool = typer.Option(False, "--debug", help="Show a traceback for an error."),
    version: bool = typer.Option(
        False, "--version", callback=_tell_version, is_eager=True, help="Tell the version, and end."
    ),
) -> None:
    """Coach families at home between a therapist's visits, by chat."""
    # What is written is for the bot's own user alone, whatever the shell's mask: database, journal, key, backups, exports.
    os.umask(0o077)
