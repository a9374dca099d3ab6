"""Which versions of plans may hold the arm, since their documents are sealed"""

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"


def upgrade() -> None:
    op.add_column(
        "plans", sa.Column("may_hold_arm", sa.Boolean(), server_default=sa.text("true"), nullable=False)
    )
