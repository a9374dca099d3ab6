"""When a carer is asked how the baby is after an urgent concern"""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"


def upgrade() -> None:
    op.add_column("concerns", sa.Column("ask_how_at", sa.DateTime(timezone=True)))
    op.create_index("ix_concerns_ask_how", "concerns", ["ask_how_at"])
