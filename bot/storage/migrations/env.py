"""Alembic's entry point; the store hands over an open connection."""

from typing import Literal

from alembic import context
from alembic.autogenerate.api import AutogenContext

from bot.storage.sealed_types import EncryptedBytes, EncryptedJson, EncryptedText, LookupChat, LookupWord
from bot.storage.tables import Instant, metadata


def plain_types(kind: str, item: object, autogen: AutogenContext) -> str | Literal[False]:
    """Write our column types as what the database sees, so that an old migration outlives a renamed class."""
    if isinstance(item, Instant):
        return "sa.DateTime(timezone=True)"
    if isinstance(item, EncryptedBytes | EncryptedText | EncryptedJson | LookupChat | LookupWord):
        return "sa.LargeBinary()"
    return False


connection = context.config.attributes["connection"]
context.configure(
    connection=connection,
    target_metadata=metadata,
    render_as_batch=True,
    transactional_ddl=True,
    render_item=plain_types,
)
context.run_migrations()
