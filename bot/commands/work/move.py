"""Moving everything into another database."""

from __future__ import annotations

from pathlib import Path

from bot.commands.answer import answer
from bot.messenger.installation import not_served, opened
from bot.settings import load_settings
from bot.storage import migrate
from bot.storage.moving import move
from bot.storage.store import Store


def run(to: str, env_file: Path | None, *, as_json: bool) -> None:
    settings = load_settings(env_file)
    with opened(settings) as source:
        not_served(source)
        target = Store.open(to, source.encryption)
        try:
            migrate.upgrade(target)
            rows = move(source, target)
        finally:
            target.close()
    said = (
        f"Moved {sum(rows.values())} rows. Set UNDERWING_DATABASE to the new database and start the bot; the key stays "
        "the same. The old database is as it was."
    )
    answer({"rows": rows}, [said], as_json=as_json)
