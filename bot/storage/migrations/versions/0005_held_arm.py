"""When a therapist let an arm's activities go on"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    op.add_column("concerns", sa.Column("released_at", sa.DateTime(timezone=True)))
    # What was dealt with before holds nothing now.
    op.execute("UPDATE concerns SET released_at = answered_at WHERE answered_at IS NOT NULL")
