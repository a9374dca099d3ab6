"""What is learned from a family's answers"""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"


def upgrade() -> None:
    op.add_column(
        "families", sa.Column("keeps_times", sa.Boolean(), server_default=sa.text("false"), nullable=False)
    )
    row_id = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    op.create_table(
        "sightings",
        sa.Column("id", row_id, primary_key=True, autoincrement=True),
        sa.Column("family_id", sa.String(64), sa.ForeignKey("families.id"), nullable=False),
        sa.Column("what", sa.String(12), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
    )
    op.create_index("ix_sightings_family_at", "sightings", ["family_id", "at"])
    op.create_table(
        "suggestions",
        sa.Column("id", row_id, primary_key=True, autoincrement=True),
        sa.Column("family_id", sa.String(64), sa.ForeignKey("families.id"), nullable=False),
        sa.Column("local_date", sa.Date(), nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("suggestion", sa.JSON(), nullable=False),
        sa.Column("state", sa.String(8), nullable=False),
        sa.Column("settled_at", sa.DateTime(timezone=True)),
    )
    op.create_index("ix_suggestions_family_date", "suggestions", ["family_id", "local_date"])
