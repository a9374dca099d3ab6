"""underwing unread: what was not understood or asked about, for the clinic's own eyes, so that the vocabulary can grow."""

from __future__ import annotations

import typer

from bot.commands.options import AsJson, EnvFile


def unread(
    since: str | None = typer.Option(
        None, "--since", help="From this date on, YYYY-MM-DD; else the last 30 days."
    ),
    as_json: AsJson = False,
    env_file: EnvFile = None,
) -> None:
    """List the words that nothing was read from, and those that carers were asked about, like ones together, the most frequent first. No names, no families."""
    from bot.commands.work.unread import run

    run(since, env_file, as_json=as_json)
