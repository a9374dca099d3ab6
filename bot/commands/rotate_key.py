"""underwing rotate-key: a new key for all that is sealed."""

from __future__ import annotations

from bot.commands.options import AsJson, EnvFile


def rotate_key(as_json: AsJson = False, env_file: EnvFile = None) -> None:
    """Make a new key and seal everything with it. Stop the bot first. Backups made before still need the old key."""
    from bot.commands.work.rotate_key import run

    run(env_file, as_json=as_json)
