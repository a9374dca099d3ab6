"""First tables"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:

    op.create_table(
        "audit",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=80), nullable=False),
        sa.Column("what", sa.String(length=60), nullable=False),
        sa.Column("family_id", sa.String(length=64), nullable=True),
        sa.Column("detail", sa.String(length=200), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_audit")),
    )
    with op.batch_alter_table("audit", schema=None) as batch_op:
        batch_op.create_index("ix_audit_family_at", ["family_id", "at"], unique=False)

    op.create_table(
        "chats",
        sa.Column("chat_id", sa.BigInteger(), nullable=False),
        sa.Column("step", sa.String(length=40), nullable=True),
        sa.Column("step_data", sa.LargeBinary(), nullable=True),
        sa.Column("family_id", sa.String(length=64), nullable=True),
        sa.Column("stranger_told_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("wrong_codes", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("wrong_code_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("chat_id", name=op.f("pk_chats")),
    )
    op.create_table(
        "clinics",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("time_zone", sa.String(length=64), nullable=False),
        sa.Column("emergency_line", sa.String(length=200), nullable=False),
        sa.Column("nurse_line", sa.String(length=200), nullable=False),
        sa.Column("digest_weekday", sa.Integer(), nullable=False),
        sa.Column("digest_at", sa.String(length=5), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_clinics")),
    )
    op.create_table(
        "inbox",
        sa.Column(
            "seq", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("update_id", sa.BigInteger(), nullable=False),
        sa.Column("chat_id", sa.BigInteger(), nullable=True),
        sa.Column("raw", sa.LargeBinary(), nullable=False),
        sa.Column("state", sa.String(length=8), nullable=False),
        sa.Column("attempts", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("retry_at", sa.Float(), server_default=sa.text("0"), nullable=False),
        sa.Column("error", sa.String(length=500), nullable=True),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("seq", name=op.f("pk_inbox")),
        sa.UniqueConstraint("update_id", name=op.f("uq_inbox_update_id")),
    )
    with op.batch_alter_table("inbox", schema=None) as batch_op:
        batch_op.create_index(
            "ix_inbox_chat_waiting",
            ["chat_id", "seq"],
            unique=False,
            sqlite_where=sa.text("state = 'new'"),
            postgresql_where=sa.text("state = 'new'"),
        )
        batch_op.create_index(
            "ix_inbox_waiting",
            ["seq"],
            unique=False,
            sqlite_where=sa.text("state = 'new'"),
            postgresql_where=sa.text("state = 'new'"),
        )

    op.create_table(
        "leases",
        sa.Column("name", sa.String(length=20), nullable=False),
        sa.Column("holder", sa.String(length=80), nullable=False),
        sa.Column("until", sa.Float(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_leases")),
    )
    op.create_table(
        "outbox",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("key", sa.String(length=120), nullable=True),
        sa.Column("kind", sa.String(length=12), nullable=False),
        sa.Column("priority", sa.Integer(), nullable=False),
        sa.Column("chat_id", sa.BigInteger(), nullable=False),
        sa.Column("action", sa.String(length=12), nullable=False),
        sa.Column("payload", sa.LargeBinary(), nullable=False),
        sa.Column("family_id", sa.String(length=64), nullable=True),
        sa.Column("about", sa.String(length=60), nullable=True),
        sa.Column("state", sa.String(length=8), nullable=False),
        sa.Column("attempts", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("retry_at", sa.Float(), server_default=sa.text("0"), nullable=False),
        sa.Column("lease_until", sa.Float(), server_default=sa.text("0"), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("held_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("message_id", sa.BigInteger(), nullable=True),
        sa.Column("file_id", sa.String(length=200), nullable=True),
        sa.Column("error", sa.String(length=500), nullable=True),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("sent_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_outbox")),
        sa.UniqueConstraint("key", name=op.f("uq_outbox_key")),
    )
    with op.batch_alter_table("outbox", schema=None) as batch_op:
        batch_op.create_index("ix_outbox_about", ["about"], unique=False)
        batch_op.create_index("ix_outbox_chat_message", ["chat_id", "message_id"], unique=False)
        batch_op.create_index(
            "ix_outbox_held",
            ["held_until"],
            unique=False,
            sqlite_where=sa.text("state = 'held'"),
            postgresql_where=sa.text("state = 'held'"),
        )
        batch_op.create_index(
            "ix_outbox_sending",
            ["lease_until"],
            unique=False,
            sqlite_where=sa.text("state = 'sending'"),
            postgresql_where=sa.text("state = 'sending'"),
        )
        batch_op.create_index(
            "ix_outbox_waiting",
            ["priority", "id"],
            unique=False,
            sqlite_where=sa.text("state = 'waiting'"),
            postgresql_where=sa.text("state = 'waiting'"),
        )

    op.create_table(
        "therapists",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("chat_id", sa.BigInteger(), nullable=True),
        sa.Column("name", sa.String(length=100), nullable=False),
        sa.Column("language", sa.String(length=2), server_default="en", nullable=False),
        sa.Column("quiet_from", sa.String(length=5), nullable=True),
        sa.Column("quiet_to", sa.String(length=5), nullable=True),
        sa.Column("covered_by", sa.String(length=64), nullable=True),
        sa.Column("cover_from", sa.Date(), nullable=True),
        sa.Column("cover_until", sa.Date(), nullable=True),
        sa.Column("digest_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("next_digest_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("joined_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("unreachable_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_therapists")),
        sa.UniqueConstraint("chat_id", name=op.f("uq_therapists_chat_id")),
    )
    with op.batch_alter_table("therapists", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_therapists_next_digest_at"), ["next_digest_at"], unique=False)

    op.create_table(
        "digests",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("therapist_id", sa.String(length=64), nullable=False),
        sa.Column("from_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("to_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_message_id", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(["therapist_id"], ["therapists.id"], name=op.f("fk_digests_therapist_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_digests")),
        sa.UniqueConstraint("therapist_id", "to_at", name=op.f("uq_digests_therapist_id_to_at")),
    )
    op.create_table(
        "families",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("therapist_id", sa.String(length=64), nullable=False),
        sa.Column("nickname", sa.String(length=100), nullable=False),
        sa.Column("time_zone", sa.String(length=64), nullable=False),
        sa.Column("state", sa.String(length=10), server_default="active", nullable=False),
        sa.Column("paused_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("asleep_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("plan_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("hold_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("budget", sa.Integer(), nullable=True),
        sa.Column("asked_load", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("budget_on", sa.Date(), nullable=True),
        sa.Column("shape_told_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("shape_draft", sa.JSON(), nullable=True),
        sa.Column("home_zone", sa.String(length=64), nullable=True),
        sa.Column("away_until", sa.Date(), nullable=True),
        sa.Column("group_allowed", sa.Boolean(), server_default=sa.text("(false)"), nullable=False),
        sa.Column("loaded", sa.String(length=64), nullable=True),
        sa.Column("heard_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("kind_note_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("silence_told_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("discharged_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("joined_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["therapist_id"], ["therapists.id"], name=op.f("fk_families_therapist_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_families")),
    )
    with op.batch_alter_table("families", schema=None) as batch_op:
        batch_op.create_index("ix_families_plan_at", ["state", "plan_at"], unique=False)
        batch_op.create_index(batch_op.f("ix_families_therapist_id"), ["therapist_id"], unique=False)

    op.create_table(
        "answers",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("family_id", sa.String(length=64), nullable=False),
        sa.Column("carer_id", sa.String(length=64), nullable=False),
        sa.Column("therapist_id", sa.String(length=64), nullable=False),
        sa.Column("thread", sa.String(length=60), nullable=False),
        sa.Column("chat_id", sa.BigInteger(), nullable=False),
        sa.Column("message_id", sa.BigInteger(), nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("text", sa.LargeBinary(), nullable=True),
        sa.Column("outbox_id", sa.BigInteger(), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("edited_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_answers_family_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_answers")),
        sa.UniqueConstraint(
            "chat_id",
            "message_id",
            "family_id",
            "carer_id",
            name=op.f("uq_answers_chat_id_message_id_family_id_carer_id"),
        ),
    )
    with op.batch_alter_table("answers", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_answers_family_id"), ["family_id"], unique=False)

    op.create_table(
        "carers",
        sa.Column("family_id", sa.String(length=64), nullable=False),
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("chat_id", sa.BigInteger(), nullable=True),
        sa.Column("name", sa.String(length=100), nullable=False),
        sa.Column("role", sa.String(length=20), server_default="parent", nullable=False),
        sa.Column("language", sa.String(length=2), server_default="en", nullable=False),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("gets_prompts", sa.Boolean(), server_default=sa.text("(true)"), nullable=False),
        sa.Column("off_duty_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("on_duty_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("consented_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("blocked_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_carers_family_id")),
        sa.PrimaryKeyConstraint("family_id", "id", name=op.f("pk_carers")),
        sa.UniqueConstraint("family_id", "chat_id", name=op.f("uq_carers_family_id_chat_id")),
    )
    with op.batch_alter_table("carers", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_carers_chat_id"), ["chat_id"], unique=False)

    op.create_table(
        "confidences",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("family_id", sa.String(length=64), nullable=False),
        sa.Column("carer_id", sa.String(length=64), nullable=False),
        sa.Column("activity", sa.String(length=100), nullable=False),
        sa.Column("kind", sa.String(length=10), server_default="ruler", nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("value", sa.Integer(), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_confidences_family_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_confidences")),
    )
    with op.batch_alter_table("confidences", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_confidences_family_id"), ["family_id"], unique=False)

    op.create_table(
        "grades",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("family_id", sa.String(length=64), nullable=False),
        sa.Column("scale", sa.String(length=20), nullable=False),
        sa.Column("values", sa.LargeBinary(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("entered_by", sa.String(length=64), nullable=False),
        sa.Column("entered_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_grades_family_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_grades")),
    )
    with op.batch_alter_table("grades", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_grades_family_id"), ["family_id"], unique=False)

    op.create_table(
        "handovers",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("family_id", sa.String(length=64), nullable=False),
        sa.Column("from_id", sa.String(length=64), nullable=False),
        sa.Column("to_id", sa.String(length=64), nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("settled_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("state", sa.String(length=8), nullable=False),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_handovers_family_id")),
        sa.ForeignKeyConstraint(["from_id"], ["therapists.id"], name=op.f("fk_handovers_from_id")),
        sa.ForeignKeyConstraint(["to_id"], ["therapists.id"], name=op.f("fk_handovers_to_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_handovers")),
    )
    with op.batch_alter_table("handovers", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_handovers_family_id"), ["family_id"], unique=False)

    op.create_table(
        "invitations",
        sa.Column("code_hash", sa.String(length=64), nullable=False),
        sa.Column("family_id", sa.String(length=64), nullable=True),
        sa.Column("carer_id", sa.String(length=64), nullable=True),
        sa.Column("therapist_id", sa.String(length=64), nullable=True),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_invitations_family_id")),
        sa.ForeignKeyConstraint(
            ["therapist_id"], ["therapists.id"], name=op.f("fk_invitations_therapist_id")
        ),
        sa.PrimaryKeyConstraint("code_hash", name=op.f("pk_invitations")),
    )
    op.create_table(
        "materials",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("family_id", sa.String(length=64), nullable=False),
        sa.Column("activity", sa.String(length=100), nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("file_id", sa.String(length=200), nullable=False),
        sa.Column("caption", sa.LargeBinary(), nullable=True),
        sa.Column("content", sa.LargeBinary(), nullable=True),
        sa.Column("fetch_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("fetch_failed", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("agreed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("added_by", sa.String(length=64), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("withdrawn_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_materials_family_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_materials")),
    )
    with op.batch_alter_table("materials", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_materials_family_id"), ["family_id"], unique=False)

    op.create_table(
        "messages",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("family_id", sa.String(length=64), nullable=True),
        sa.Column("carer_id", sa.String(length=64), nullable=True),
        sa.Column("chat_id", sa.BigInteger(), nullable=False),
        sa.Column("message_id", sa.BigInteger(), nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("text", sa.LargeBinary(), nullable=True),
        sa.Column("unread", sa.LargeBinary(), nullable=True),
        sa.Column("file_id", sa.String(length=200), nullable=True),
        sa.Column("reminder_id", sa.BigInteger(), nullable=True),
        sa.Column("answer_id", sa.BigInteger(), nullable=True),
        sa.Column("corrects", sa.BigInteger(), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("edited_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_messages_family_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_messages")),
        sa.UniqueConstraint("chat_id", "message_id", name=op.f("uq_messages_chat_id_message_id")),
    )
    with op.batch_alter_table("messages", schema=None) as batch_op:
        batch_op.create_index("ix_messages_family_at", ["family_id", "at"], unique=False)
        batch_op.create_index(batch_op.f("ix_messages_family_id"), ["family_id"], unique=False)

    op.create_table(
        "notes",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("family_id", sa.String(length=64), nullable=False),
        sa.Column("kind", sa.String(length=12), nullable=False),
        sa.Column("data", sa.JSON(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_notes_family_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_notes")),
    )
    with op.batch_alter_table("notes", schema=None) as batch_op:
        batch_op.create_index("ix_notes_family_at", ["family_id", "at"], unique=False)

    op.create_table(
        "plan_drafts",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("therapist_id", sa.String(length=64), nullable=False),
        sa.Column("family_id", sa.String(length=64), nullable=False),
        sa.Column("document", sa.JSON(), nullable=False),
        sa.Column("base_version", sa.Integer(), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_plan_drafts_family_id")),
        sa.ForeignKeyConstraint(
            ["therapist_id"], ["therapists.id"], name=op.f("fk_plan_drafts_therapist_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plan_drafts")),
        sa.UniqueConstraint("therapist_id", "family_id", name=op.f("uq_plan_drafts_therapist_id_family_id")),
    )
    op.create_table(
        "plans",
        sa.Column("family_id", sa.String(length=64), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("document", sa.JSON(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("made_by", sa.String(length=64), nullable=True),
        sa.Column("note", sa.LargeBinary(), nullable=True),
        sa.Column("told_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_plans_family_id")),
        sa.PrimaryKeyConstraint("family_id", "version", name=op.f("pk_plans")),
    )
    with op.batch_alter_table("plans", schema=None) as batch_op:
        batch_op.create_index(
            "ix_plans_untold",
            ["family_id"],
            unique=False,
            sqlite_where=sa.text("told_at IS NULL"),
            postgresql_where=sa.text("told_at IS NULL"),
        )

    op.create_table(
        "reminders",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("family_id", sa.String(length=64), nullable=False),
        sa.Column("activity", sa.String(length=100), nullable=False),
        sa.Column("local_date", sa.Date(), nullable=False),
        sa.Column("slot", sa.Integer(), nullable=False),
        sa.Column("side", sa.String(length=5), nullable=True),
        sa.Column("minutes", sa.Float(), nullable=False),
        sa.Column("moment", sa.String(length=12), nullable=True),
        sa.Column("because", sa.JSON(), nullable=True),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("late_after", sa.DateTime(timezone=True), nullable=False),
        sa.Column("state", sa.String(length=8), nullable=False),
        sa.Column("reason", sa.String(length=10), nullable=True),
        sa.Column("pinned", sa.Boolean(), server_default=sa.text("(false)"), nullable=False),
        sa.Column("sent_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("closed_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_reminders_family_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reminders")),
        sa.UniqueConstraint(
            "family_id",
            "activity",
            "local_date",
            "slot",
            name=op.f("uq_reminders_family_id_activity_local_date_slot"),
        ),
    )
    with op.batch_alter_table("reminders", schema=None) as batch_op:
        batch_op.create_index(
            "ix_reminders_due",
            ["due_at"],
            unique=False,
            sqlite_where=sa.text("state = 'planned'"),
            postgresql_where=sa.text("state = 'planned'"),
        )
        batch_op.create_index("ix_reminders_family_date", ["family_id", "local_date"], unique=False)

    op.create_table(
        "visits",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("family_id", sa.String(length=64), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("note", sa.LargeBinary(), nullable=True),
        sa.Column("made_by", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("cancelled_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_visits_family_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_visits")),
    )
    with op.batch_alter_table("visits", schema=None) as batch_op:
        batch_op.create_index("ix_visits_at", ["at"], unique=False)
        batch_op.create_index(batch_op.f("ix_visits_family_id"), ["family_id"], unique=False)

    op.create_table(
        "concerns",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("family_id", sa.String(length=64), nullable=False),
        sa.Column("carer_id", sa.String(length=64), nullable=False),
        sa.Column("message_id", sa.BigInteger(), nullable=True),
        sa.Column("urgency", sa.String(length=14), nullable=False),
        sa.Column("topics", sa.JSON(), nullable=False),
        sa.Column("text", sa.LargeBinary(), nullable=False),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("advice", sa.String(length=40), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ask_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("told_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("next_tell_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("tellings", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("answered_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("handled_by", sa.String(length=64), nullable=True),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_concerns_family_id")),
        sa.ForeignKeyConstraint(["message_id"], ["messages.id"], name=op.f("fk_concerns_message_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_concerns")),
    )
    with op.batch_alter_table("concerns", schema=None) as batch_op:
        batch_op.create_index("ix_concerns_ask_until", ["ask_until"], unique=False)
        batch_op.create_index("ix_concerns_family_at", ["family_id", "at"], unique=False)
        batch_op.create_index("ix_concerns_next_tell", ["next_tell_at"], unique=False)

    op.create_table(
        "observations",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("family_id", sa.String(length=64), nullable=False),
        sa.Column("carer_id", sa.String(length=64), nullable=False),
        sa.Column("message_id", sa.BigInteger(), nullable=True),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("side", sa.String(length=5), nullable=True),
        sa.Column("activity", sa.String(length=100), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_observations_family_id")),
        sa.ForeignKeyConstraint(["message_id"], ["messages.id"], name=op.f("fk_observations_message_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_observations")),
    )
    with op.batch_alter_table("observations", schema=None) as batch_op:
        batch_op.create_index("ix_observations_family_at", ["family_id", "at"], unique=False)

    op.create_table(
        "questions",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("family_id", sa.String(length=64), nullable=False),
        sa.Column("carer_id", sa.String(length=64), nullable=False),
        sa.Column("message_id", sa.BigInteger(), nullable=True),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("activity", sa.String(length=100), nullable=True),
        sa.Column("thread", sa.String(length=60), nullable=True),
        sa.Column("text", sa.LargeBinary(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("told_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("answered_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("answer", sa.LargeBinary(), nullable=True),
        sa.Column("answered_by", sa.String(length=64), nullable=True),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_questions_family_id")),
        sa.ForeignKeyConstraint(["message_id"], ["messages.id"], name=op.f("fk_questions_message_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_questions")),
    )
    with op.batch_alter_table("questions", schema=None) as batch_op:
        batch_op.create_index("ix_questions_family_at", ["family_id", "at"], unique=False)
        batch_op.create_index(
            "ix_questions_untold",
            ["id"],
            unique=False,
            sqlite_where=sa.text("told_at IS NULL"),
            postgresql_where=sa.text("told_at IS NULL"),
        )

    op.create_table(
        "sessions",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("family_id", sa.String(length=64), nullable=False),
        sa.Column("carer_id", sa.String(length=64), nullable=False),
        sa.Column("message_id", sa.BigInteger(), nullable=True),
        sa.Column("reminder_id", sa.BigInteger(), nullable=True),
        sa.Column("activity", sa.String(length=100), nullable=True),
        sa.Column("minutes", sa.Float(), nullable=True),
        sa.Column("side", sa.String(length=5), nullable=True),
        sa.Column("local_date", sa.Date(), nullable=False),
        sa.Column("local_at", sa.String(length=5), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("state", sa.String(length=8), nullable=False),
        sa.Column("twin_of", sa.BigInteger(), nullable=True),
        sa.Column("logged_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_sessions_family_id")),
        sa.ForeignKeyConstraint(["message_id"], ["messages.id"], name=op.f("fk_sessions_message_id")),
        sa.ForeignKeyConstraint(["reminder_id"], ["reminders.id"], name=op.f("fk_sessions_reminder_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sessions")),
    )
    with op.batch_alter_table("sessions", schema=None) as batch_op:
        batch_op.create_index("ix_sessions_family_date", ["family_id", "local_date"], unique=False)

    op.create_table(
        "skips",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=True, nullable=False
        ),
        sa.Column("family_id", sa.String(length=64), nullable=False),
        sa.Column("carer_id", sa.String(length=64), nullable=False),
        sa.Column("message_id", sa.BigInteger(), nullable=True),
        sa.Column("reminder_id", sa.BigInteger(), nullable=True),
        sa.Column("activity", sa.String(length=100), nullable=True),
        sa.Column("reason", sa.String(length=10), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["family_id"], ["families.id"], name=op.f("fk_skips_family_id")),
        sa.ForeignKeyConstraint(["message_id"], ["messages.id"], name=op.f("fk_skips_message_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_skips")),
    )
    with op.batch_alter_table("skips", schema=None) as batch_op:
        batch_op.create_index("ix_skips_family_at", ["family_id", "at"], unique=False)
