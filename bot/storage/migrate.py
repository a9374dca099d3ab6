"""Bring a database to the newest form, from empty or from any earlier release."""

from __future__ import annotations

from importlib.resources import files

from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, text

from bot.errors import InputProblem
from bot.storage.store import Store
from bot.storage.tables import metadata

# Two workers that start together must not both create the tables.
_MIGRATION_LOCK = 728_340_115
# What stood plain in earlier releases is not to be found in what the database leaves lying about.
SEALED_SINCE = "0015"

# What takes away all that the migrations make on PostgreSQL, whichever of it is there.
TAKE_ALL_AWAY = (
    f"DROP TABLE IF EXISTS {', '.join(['alembic_version', *metadata.tables])} CASCADE",
    "DROP FUNCTION IF EXISTS underwing_wake_up CASCADE",
)


def config_for(connection: Connection | None = None) -> Config:
    """Return the settings of the migrations. connection: what they change; None: they are only to be looked at."""
    config = Config()
    config.set_main_option("script_location", str(files("bot.storage").joinpath("migrations")))
    config.attributes["connection"] = connection
    return config


def _upgrade(connection: Connection) -> None:
    current = MigrationContext.configure(connection).get_current_revision()
    known = {script.revision for script in ScriptDirectory.from_config(config_for()).walk_revisions()}
    if current is not None and current not in known:
        raise InputProblem(
            f"The database was written by a newer release (revision {current}); install that release or a later one"
        )
    command.upgrade(config_for(connection), "head")


def upgrade(store: Store) -> None:
    """Apply every migration that is missing, in one transaction; a failure changes nothing."""
    with store.reshape() as conn:
        if not store.embedded:
            conn.execute(text(f"SELECT pg_advisory_xact_lock({_MIGRATION_LOCK})"))
        before = MigrationContext.configure(conn).get_current_revision()
        _upgrade(conn)
    if before is not None and before < SEALED_SINCE:
        store.rewrite()


def differences(connection: Connection) -> list[object]:
    """Return how the database differs from the tables in code; empty when migrations tell the whole story."""
    return list(compare_metadata(MigrationContext.configure(connection), metadata))
