"""The rest after an emergency stands apart from a "later" that a carer asked for: the one ends without the other"""

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"


def upgrade() -> None:
    op.add_column("families", sa.Column("rest_until", sa.DateTime(timezone=True), nullable=True))
