"""What an installation's settings name: its database and its activities."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

from bot.activities.library import BadActivityFile, Library, load_library
from bot.errors import InputProblem
from bot.settings import Settings
from bot.storage import migrate
from bot.storage.store import Store


def library_of(settings: Settings) -> Library:
    """Return the activities, the clinic's own with them. Raises InputProblem for a file that cannot be used."""
    try:
        return load_library(settings.activities)
    except BadActivityFile as error:
        raise InputProblem(error.problems) from None


@contextlib.contextmanager
def opened(settings: Settings) -> Iterator[Store]:
    """Open the database of the settings, brought to its newest form."""
    store = Store.open(settings.database_url(), settings.encryption())
    try:
        migrate.upgrade(store)
        yield store
    finally:
        store.close()
