"""underwing check: what is wrong with this installation, and how to mend it."""

from __future__ import annotations

from bot.commands.options import AsJson, EnvFile


def check(as_json: AsJson = False, env_file: EnvFile = None) -> None:
    """Check settings, database, clock and plans; say what is wrong and how to mend it."""
    from bot.commands.work.check import run

    run(env_file, as_json=as_json)
