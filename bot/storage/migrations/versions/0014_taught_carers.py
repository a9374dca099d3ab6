"""Which activities a therapist taught a carer, each with its date"""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"


def upgrade() -> None:
    op.add_column("carers", sa.Column("taught", sa.JSON(), server_default="{}", nullable=False))
