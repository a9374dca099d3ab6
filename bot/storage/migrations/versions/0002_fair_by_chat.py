"""Waiting updates and messages by chat, urgent ones first"""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    op.add_column("inbox", sa.Column("urgent", sa.Boolean(), server_default=sa.text("false"), nullable=False))
    _index("ix_inbox_urgent", "inbox", ["chat_id", "seq"], "state = 'new' AND urgent")
    _index("ix_outbox_chat_waiting", "outbox", ["chat_id", "priority", "id"], "state = 'waiting'")
    _index("ix_outbox_not_told", "outbox", ["created_at"], "state IN ('failed', 'unknown')")


def _index(name: str, table: str, columns: list[str], where: str) -> None:
    op.create_index(name, table, columns, sqlite_where=sa.text(where), postgresql_where=sa.text(where))
