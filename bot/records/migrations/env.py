"""Alembic's entry point; the store hands over an open connection."""

from alembic import context

from bot.records.tables import metadata

connection = context.config.attributes["connection"]
context.configure(
    connection=connection, target_metadata=metadata, render_as_batch=True, transactional_ddl=True
)
context.run_migrations()
