"""When a family wants its reminders"""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    op.add_column("families", sa.Column("reminder_hours", sa.JSON()))
