"""One schedule a family for its unseen concerns"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"

# What had been told twelve times and then no more is told again too.
KEEP_WAITING = """
INSERT INTO unseen_spells (family_id, first_concern, begun_at, restarted_at, next_at)
SELECT family_id, MIN(id), MIN(COALESCE(told_at, at)), MAX(COALESCE(told_at, at)), MIN(COALESCE(next_tell_at, at))
FROM concerns WHERE state = 'open' AND urgency <> 'tell_therapist' GROUP BY family_id
"""


def upgrade() -> None:
    op.create_table(
        "unseen_spells",
        sa.Column("family_id", sa.String(64), sa.ForeignKey("families.id"), primary_key=True),
        sa.Column("first_concern", sa.BigInteger(), nullable=False),
        sa.Column("begun_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("restarted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("next_at", sa.DateTime(timezone=True), nullable=False),
    )
    op.create_index("ix_unseen_spells_next_at", "unseen_spells", ["next_at"])
    op.execute(KEEP_WAITING)
    with op.batch_alter_table("concerns") as batch_op:
        batch_op.drop_index("ix_concerns_next_tell")
        batch_op.drop_column("next_tell_at")
