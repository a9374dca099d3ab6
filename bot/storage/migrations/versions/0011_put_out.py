"""When somebody left, and whether they were put out"""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"


def upgrade() -> None:
    op.add_column("carers", sa.Column("left_at", sa.DateTime(timezone=True)))
    op.add_column(
        "carers", sa.Column("put_out", sa.Boolean(), server_default=sa.text("false"), nullable=False)
    )
    op.add_column("therapists", sa.Column("left_at", sa.DateTime(timezone=True)))
    # Of those who left before, the records say when in the log of who did what.
    op.execute(
        "UPDATE carers SET left_at = (SELECT max(audit.at) FROM audit WHERE audit.family_id = carers.family_id "
        "AND audit.what = 'left' AND audit.who = 'carer:' || carers.id) WHERE state = 'left'"
    )
