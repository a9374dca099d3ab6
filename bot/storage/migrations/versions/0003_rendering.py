"""Messages that wait for something to be drawn"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    # SQLite changes a column by copying its table.
    with op.batch_alter_table("outbox") as outbox:
        outbox.alter_column(
            "state",
            type_=sa.String(length=10),
            existing_type=sa.String(length=8),
            existing_nullable=False,
        )
    where = sa.text("state = 'rendering'")
    op.create_index(
        "ix_outbox_rendering", "outbox", ["priority", "id"], sqlite_where=where, postgresql_where=where
    )
