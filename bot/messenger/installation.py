"""The database that an installation's settings name."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

from bot.clock import real_seconds
from bot.errors import InputProblem
from bot.settings import Settings
from bot.storage import migrate
from bot.storage.store import Store


@contextlib.contextmanager
def opened(settings: Settings) -> Iterator[Store]:
    """Open the database of the settings, brought to its newest form."""
    path, url = settings.key_path(), settings.database_url()
    if path is not None and not path.exists() and Store.is_begun(url):
        raise InputProblem(
            f"The key {path} is missing, and the database was written with it: put it back from your copy, or name it in "
            "UNDERWING_KEY_FILE; nothing was changed"
        )
    store = Store.open(url, settings.encryption())
    try:
        migrate.upgrade(store)
        yield store
    finally:
        store.close()


def not_served(store: Store) -> None:
    """Refuse while a bot serves this database. Raises InputProblem."""
    with store.read() as uow:
        if uow.leases.is_held("lead", real_now=real_seconds()):
            raise InputProblem(
                "A bot serves this database: stop it first, wait ten seconds, and run this again"
            )
