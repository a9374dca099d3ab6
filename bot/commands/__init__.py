"""The `underwing` command line: one file a command, each a thin edge over what does the work."""

from __future__ import annotations

import signal
import sys

import typer

from bot.errors import UnderwingError


def main() -> None:
    """Run the command line. Exit status: 0 done, 1 a problem in the world, 2 a problem in the input."""
    # Told to stop while the program still loads, there is nothing in hand to finish.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    from bot.commands.all import app

    debug = "--debug" in sys.argv
    arguments = [argument for argument in sys.argv[1:] if argument != "--debug"]
    try:
        app(arguments, standalone_mode=True)
    except UnderwingError as error:
        if debug:
            raise
        for problem in error.problems:
            typer.echo(problem, err=True)
        sys.exit(error.exit_status)
    except Exception as error:
        if debug:
            raise
        typer.echo(
            f"Something went wrong that was not foreseen ({type(error).__name__}: {error}). "
            "Run it again with --debug, and report what it shows.",
            err=True,
        )
        sys.exit(1)
