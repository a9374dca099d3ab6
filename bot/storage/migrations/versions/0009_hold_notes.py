"""What a therapist said of how a family does a hold"""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"

ROW_ID = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    op.create_table(
        "hold_notes",
        sa.Column("id", ROW_ID, autoincrement=True, nullable=False),
        sa.Column("family_id", sa.String(64), nullable=False),
        sa.Column("activity", sa.String(100), nullable=False),
        sa.Column("therapist_id", sa.String(64), nullable=False),
        sa.Column("text", sa.LargeBinary(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"]),
        sa.ForeignKeyConstraint(["therapist_id"], ["therapists.id"]),
        sa.PrimaryKeyConstraint("id"),
    )
    op.create_index("ix_hold_notes_family_id", "hold_notes", ["family_id"])
