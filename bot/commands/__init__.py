"""The `underwing` command line: one file a command, each a thin edge over what does the work."""

from __future__ import annotations

import os
import signal
import sys

CUT_SHORT = 128 + signal.SIGTERM  # the exit status of a command that was told to stop before it was done


def main() -> None:
    """Run the command line. Exit status: 0 done, 1 a problem in the world, 2 a problem in the input."""
    # First of all, since what follows loads for seconds.
    signal.signal(signal.SIGTERM, _stopped)
    import typer

    from bot.commands.all import app
    from bot.errors import UnderwingError, where_it_broke

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
        # Not its message, which may hold a person's words: what is shown here may be kept in a journal.
        typer.echo(
            f"Something went wrong that was not foreseen ({where_it_broke(error)}). "
            "Run it again with --debug, and report what it shows.",
            err=True,
        )
        sys.exit(1)


def _stopped(*_: object) -> None:
    """End at SIGTERM. A bot that still loads has nothing in hand to finish; what it does later, it says itself."""
    serves = "serve" in sys.argv
    os.write(2, b"stopped while loading\n" if serves else b"told to stop before it was done\n")
    sys.exit(0 if serves else CUT_SHORT)
