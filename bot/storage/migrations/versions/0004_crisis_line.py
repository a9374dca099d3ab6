"""A line for carers in a crisis, and concerns that must not show in the home"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    op.add_column("clinics", sa.Column("crisis_line", sa.String(length=200)))
    op.add_column(
        "concerns", sa.Column("discreet", sa.Boolean(), server_default=sa.text("false"), nullable=False)
    )
