"""Whom a family calls, where it is not the clinic's numbers"""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"


def upgrade() -> None:
    for name in ("emergency_line", "nurse_line", "crisis_line"):
        op.add_column("families", sa.Column(name, sa.String(200)))
