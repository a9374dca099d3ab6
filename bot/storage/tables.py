"""The tables. Instants are UTC; local dates and times say so; free text and payloads are sealed.

Names: a *message* is what a person wrote; a *session* is minutes of one activity that a carer logged; a
*reminder* is one prompt of a family's day; the *inbox* holds what the messaging service handed over, the
*outbox* what must be said.
"""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    Date,
    DateTime,
    Dialect,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    UniqueConstraint,
    text,
)  # fmt: skip
from sqlalchemy.types import TypeDecorator

from bot.storage.encryption import EncryptedBytes, EncryptedJson, EncryptedText


class Instant(TypeDecorator[datetime]):
    """An aware UTC instant; SQLite would drop the zone."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        return None if value is None else value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


# SQLite numbers rows by itself only in an INTEGER primary key.
RowId = BigInteger().with_variant(Integer, "sqlite")

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)

# ---------------------------------------------------------------- the edge: what came in, what goes out

inbox = Table(
    "inbox",
    metadata,
    Column("seq", RowId, primary_key=True, autoincrement=True),
    Column("update_id", BigInteger, nullable=False, unique=True),
    Column("chat_id", BigInteger),
    Column("raw", EncryptedJson, nullable=False),
    Column("state", String(8), nullable=False),  # new, done, dead
    Column("urgent", Boolean, nullable=False, server_default=text("false")),  # its words may hold a concern
    Column("attempts", Integer, nullable=False, server_default=text("0")),
    Column("retry_at", Float, nullable=False, server_default=text("0")),  # real seconds
    Column("error", String(500)),
    Column("received_at", Instant, nullable=False),
)
Index(
    "ix_inbox_waiting",
    inbox.c.seq,
    sqlite_where=inbox.c.state == "new",
    postgresql_where=inbox.c.state == "new",
)
Index("ix_inbox_chat_waiting", inbox.c.chat_id, inbox.c.seq, sqlite_where=inbox.c.state == "new", postgresql_where=inbox.c.state == "new")  # fmt: skip
Index("ix_inbox_urgent", inbox.c.chat_id, inbox.c.seq, sqlite_where=(inbox.c.state == "new") & inbox.c.urgent, postgresql_where=(inbox.c.state == "new") & inbox.c.urgent)  # fmt: skip

outbox = Table(
    "outbox",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("key", String(120), unique=True),  # what may be said once only
    Column("kind", String(12), nullable=False),  # press, concern, reply, reminder, digest
    Column("priority", Integer, nullable=False),
    Column("chat_id", BigInteger, nullable=False),
    Column("action", String(12), nullable=False),  # send, edit, buttons, picture, document, press, …
    Column("payload", EncryptedJson, nullable=False),
    Column("family_id", String(64)),  # the family it speaks of, where there is one
    Column("about", String(60)),  # "reminder:12", "concern:3", …: what a reply to it is about
    Column(
        "state", String(10), nullable=False
    ),  # rendering, held, waiting, sending, sent, failed, unknown, dropped
    Column("attempts", Integer, nullable=False, server_default=text("0")),
    Column("retry_at", Float, nullable=False, server_default=text("0")),  # real seconds
    Column("lease_until", Float, nullable=False, server_default=text("0")),  # real seconds
    Column("expires_at", Instant),
    Column("held_until", Instant),  # a therapist's quiet time; far off while they cannot be reached
    Column("message_id", BigInteger),
    Column("file_id", String(200)),
    Column("error", String(500)),
    Column("created_at", Instant, nullable=False),
    Column("sent_at", Instant),
)
Index("ix_outbox_waiting", outbox.c.priority, outbox.c.id, sqlite_where=outbox.c.state == "waiting", postgresql_where=outbox.c.state == "waiting")  # fmt: skip
Index("ix_outbox_chat_waiting", outbox.c.chat_id, outbox.c.priority, outbox.c.id, sqlite_where=outbox.c.state == "waiting", postgresql_where=outbox.c.state == "waiting")  # fmt: skip
Index("ix_outbox_not_told", outbox.c.created_at, sqlite_where=outbox.c.state.in_(("failed", "unknown")), postgresql_where=outbox.c.state.in_(("failed", "unknown")))  # fmt: skip
Index("ix_outbox_sending", outbox.c.lease_until, sqlite_where=outbox.c.state == "sending", postgresql_where=outbox.c.state == "sending")  # fmt: skip
Index("ix_outbox_held", outbox.c.held_until, sqlite_where=outbox.c.state == "held", postgresql_where=outbox.c.state == "held")  # fmt: skip
Index("ix_outbox_rendering", outbox.c.priority, outbox.c.id, sqlite_where=outbox.c.state == "rendering", postgresql_where=outbox.c.state == "rendering")  # fmt: skip
Index("ix_outbox_chat_message", outbox.c.chat_id, outbox.c.message_id)
Index("ix_outbox_about", outbox.c.about)

leases = Table(
    "leases",
    metadata,
    Column("name", String(20), primary_key=True),
    Column("holder", String(80), nullable=False),
    Column("until", Float, nullable=False),  # real seconds
)

# ---------------------------------------------------------------- people

clinics = Table(
    "clinics",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", String(200), nullable=False),
    Column("time_zone", String(64), nullable=False),
    Column("emergency_line", String(200), nullable=False),
    Column("nurse_line", String(200), nullable=False),
    Column("digest_weekday", Integer, nullable=False),  # Monday 0
    Column("digest_at", String(5), nullable=False),  # HH:MM, local to the clinic
)

therapists = Table(
    "therapists",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("chat_id", BigInteger, unique=True),
    Column("name", String(100), nullable=False),
    Column("language", String(2), nullable=False, server_default="en"),
    Column("quiet_from", String(5)),
    Column("quiet_to", String(5)),
    Column("covered_by", String(64)),
    Column("cover_from", Date),  # local to the clinic, like cover_until; both days included
    Column("cover_until", Date),
    Column("digest_until", Instant),  # the last digest told everything up to here
    Column("next_digest_at", Instant, index=True),
    Column("joined_at", Instant),
    Column("unreachable_at", Instant),  # they blocked the bot: their concerns go to others
)

families = Table(
    "families",
    metadata,
    Column("id", String(64), primary_key=True),
    Column("therapist_id", String(64), ForeignKey("therapists.id"), nullable=False, index=True),
    Column("nickname", String(100), nullable=False),
    Column("time_zone", String(64), nullable=False),
    Column("state", String(10), nullable=False, server_default="active"),  # active, paused, discharged
    Column("paused_until", Instant),
    Column("asleep_until", Instant),
    Column("plan_at", Instant),  # when the day must next be planned
    Column("hold_until", Instant),  # "later": nothing before this instant
    Column("budget", Integer),  # prompts a day as adapted; none: the plan's own cap
    Column(
        "asked_load", Integer, nullable=False, server_default=text("0")
    ),  # most a day by word; 0: never said
    Column("budget_on", Date),  # local date for which the budget was last weighed
    Column("shape_told_at", Instant),  # when a carer gave or confirmed the day's shape
    Column("shape_draft", JSON),  # what was answered of it so far
    Column("home_zone", String(64)),  # while away: the zone to come back to
    Column("away_until", Date),  # last local day away
    Column("group_allowed", Boolean, nullable=False, server_default=text("false")),
    Column("loaded", String(64)),  # hash of the caseload file's section that was applied last
    Column("heard_at", Instant),  # when any carer last wrote or pressed something
    Column("kind_note_at", Instant),
    Column("silence_told_at", Instant),
    Column("discharged_at", Instant),
    Column("joined_at", Instant, nullable=False),
)
Index("ix_families_plan_at", families.c.state, families.c.plan_at)

plans = Table(
    "plans",
    metadata,
    Column("family_id", String(64), ForeignKey("families.id"), primary_key=True),
    Column("version", Integer, primary_key=True),
    Column("document", JSON, nullable=False),
    Column("made_at", Instant, nullable=False),
    Column("made_by", String(64)),
    Column("note", EncryptedText),
    Column("told_at", Instant),
)
Index("ix_plans_untold", plans.c.family_id, sqlite_where=plans.c.told_at.is_(None), postgresql_where=plans.c.told_at.is_(None))  # fmt: skip

plan_drafts = Table(
    "plan_drafts",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("therapist_id", String(64), ForeignKey("therapists.id"), nullable=False),
    Column("family_id", String(64), ForeignKey("families.id"), nullable=False),
    Column("document", JSON, nullable=False),
    Column("base_version", Integer, nullable=False),  # the version in force when the draft was begun
    Column("changed_at", Instant, nullable=False),
    UniqueConstraint("therapist_id", "family_id"),
)

carers = Table(
    "carers",
    metadata,
    Column("family_id", String(64), ForeignKey("families.id"), primary_key=True),
    Column("id", String(64), primary_key=True),
    Column("chat_id", BigInteger, index=True),
    Column("name", String(100), nullable=False),
    Column("role", String(20), nullable=False, server_default="parent"),
    Column("language", String(2), nullable=False, server_default="en"),
    Column("state", String(10), nullable=False),  # invited, joining, active, left
    Column("gets_prompts", Boolean, nullable=False, server_default=text("true")),
    Column("off_duty_until", Instant),
    Column("on_duty_until", Instant),  # until then the family's reminders go to this carer alone
    Column("consented_at", Instant),
    Column("blocked_at", Instant),
    UniqueConstraint("family_id", "chat_id"),
)

invitations = Table(
    "invitations",
    metadata,
    Column("code_hash", String(64), primary_key=True),
    Column("family_id", String(64), ForeignKey("families.id")),
    Column("carer_id", String(64)),
    Column("therapist_id", String(64), ForeignKey("therapists.id")),
    Column("expires_at", Instant, nullable=False),
    Column("used_at", Instant),
)

chats = Table(
    "chats",
    metadata,
    Column("chat_id", BigInteger, primary_key=True),
    Column("step", String(40)),  # where a talk of several steps stands
    Column("step_data", EncryptedJson),
    Column("family_id", String(64)),  # the baby last talked about, where a chat has several
    Column("stranger_told_at", Instant),
    Column("wrong_codes", Integer, nullable=False, server_default=text("0")),
    Column("wrong_code_at", Instant),
)

# ---------------------------------------------------------------- the day

reminders = Table(
    "reminders",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("family_id", String(64), ForeignKey("families.id"), nullable=False),
    Column("activity", String(100), nullable=False),
    Column("local_date", Date, nullable=False),
    Column("slot", Integer, nullable=False),
    Column("side", String(5)),
    Column("minutes", Float, nullable=False),
    Column("moment", String(12)),
    Column("because", JSON),
    Column("due_at", Instant, nullable=False),
    Column("late_after", Instant, nullable=False),  # not sent any more after this instant
    Column("state", String(8), nullable=False),  # planned, sent, answered, later, skipped, expired, dropped
    Column("reason", String(10)),  # of a skip
    Column("pinned", Boolean, nullable=False, server_default=text("false")),  # asked for: replanning keeps it
    Column("sent_at", Instant),
    Column("closed_at", Instant),
    UniqueConstraint("family_id", "activity", "local_date", "slot"),
)
Index("ix_reminders_due", reminders.c.due_at, sqlite_where=reminders.c.state == "planned", postgresql_where=reminders.c.state == "planned")  # fmt: skip
Index("ix_reminders_family_date", reminders.c.family_id, reminders.c.local_date)

messages = Table(
    "messages",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("family_id", String(64), ForeignKey("families.id"), index=True),
    Column("carer_id", String(64)),
    Column("chat_id", BigInteger, nullable=False),
    Column("message_id", BigInteger, nullable=False),
    Column("kind", String(10), nullable=False),  # text, photo, voice, …
    Column("text", EncryptedText),
    Column("unread", EncryptedText),
    Column("file_id", String(200)),
    Column("reminder_id", BigInteger),
    Column("answer_id", BigInteger),  # outbox row that told what was counted
    Column("corrects", BigInteger),  # the session that it put right or completed
    Column("at", Instant, nullable=False),
    Column("edited_at", Instant),
    UniqueConstraint("chat_id", "message_id"),
)
Index("ix_messages_family_at", messages.c.family_id, messages.c.at)

sessions = Table(
    "sessions",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("family_id", String(64), ForeignKey("families.id"), nullable=False),
    Column("carer_id", String(64), nullable=False),
    Column("message_id", BigInteger, ForeignKey("messages.id")),
    Column("reminder_id", BigInteger, ForeignKey("reminders.id")),
    Column("activity", String(100)),
    Column("minutes", Float),
    Column("side", String(5)),
    Column("local_date", Date, nullable=False),
    Column("local_at", String(5)),
    Column("at", Instant, nullable=False),  # when it counts as done
    Column("state", String(8), nullable=False),  # counted, asked, undone, replaced (by an edited message)
    Column("twin_of", BigInteger),  # a like entry of another carer, asked about
    Column("logged_at", Instant, nullable=False),
)
Index("ix_sessions_family_date", sessions.c.family_id, sessions.c.local_date)

observations = Table(
    "observations",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("family_id", String(64), ForeignKey("families.id"), nullable=False),
    Column("carer_id", String(64), nullable=False),
    Column("message_id", BigInteger, ForeignKey("messages.id")),
    Column("kind", String(20), nullable=False),
    Column("side", String(5)),
    Column("activity", String(100)),
    Column("at", Instant, nullable=False),
)
Index("ix_observations_family_at", observations.c.family_id, observations.c.at)

skips = Table(
    "skips",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("family_id", String(64), ForeignKey("families.id"), nullable=False),
    Column("carer_id", String(64), nullable=False),
    Column("message_id", BigInteger, ForeignKey("messages.id")),
    Column("reminder_id", BigInteger),
    Column("activity", String(100)),
    Column("reason", String(10), nullable=False),
    Column("at", Instant, nullable=False),
)
Index("ix_skips_family_at", skips.c.family_id, skips.c.at)

# ---------------------------------------------------------------- concerns, questions, confidence

concerns = Table(
    "concerns",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("family_id", String(64), ForeignKey("families.id"), nullable=False),
    Column("carer_id", String(64), nullable=False),
    Column("message_id", BigInteger, ForeignKey("messages.id")),
    Column("urgency", String(14), nullable=False),
    Column("topics", JSON, nullable=False),
    Column("text", EncryptedText, nullable=False),
    Column("state", String(10), nullable=False),  # asked (unclear), open, seen, answered, wrong, denied
    Column("advice", String(40)),
    Column("at", Instant, nullable=False),
    Column("ask_until", Instant),  # an unclear one is forwarded then, unanswered
    Column("told_at", Instant),
    Column("next_tell_at", Instant),  # repeated until seen
    Column("tellings", Integer, nullable=False, server_default=text("0")),
    Column("seen_at", Instant),
    Column("answered_at", Instant),
    Column("handled_by", String(64)),
)
Index("ix_concerns_family_at", concerns.c.family_id, concerns.c.at)
Index("ix_concerns_next_tell", concerns.c.next_tell_at)
Index("ix_concerns_ask_until", concerns.c.ask_until)

questions = Table(
    "questions",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("family_id", String(64), ForeignKey("families.id"), nullable=False),
    Column("carer_id", String(64), nullable=False),
    Column("message_id", BigInteger, ForeignKey("messages.id")),
    Column("kind", String(10), nullable=False),  # question, contact, teachback
    Column("activity", String(100)),
    Column("thread", String(60)),  # "concern:3", "question:4", "letter:5": what it goes on from
    Column("text", EncryptedText, nullable=False),
    Column("at", Instant, nullable=False),
    Column("told_at", Instant),
    Column("answered_at", Instant),
    Column("answer", EncryptedText),
    Column("answered_by", String(64)),
)
Index("ix_questions_family_at", questions.c.family_id, questions.c.at)

Index("ix_questions_untold", questions.c.id, sqlite_where=questions.c.told_at.is_(None), postgresql_where=questions.c.told_at.is_(None))  # fmt: skip

answers = Table(
    "answers",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("family_id", String(64), ForeignKey("families.id"), nullable=False, index=True),
    Column("carer_id", String(64), nullable=False),
    Column("therapist_id", String(64), nullable=False),
    Column("thread", String(60), nullable=False),  # what it answers; a letter begins a thread of its own
    Column("chat_id", BigInteger, nullable=False),  # the therapist's message
    Column("message_id", BigInteger, nullable=False),
    Column("kind", String(10), nullable=False),  # text, photo, voice, …
    Column("text", EncryptedText),
    Column("outbox_id", BigInteger),  # what the carer got
    Column("at", Instant, nullable=False),
    Column("edited_at", Instant),
    UniqueConstraint("chat_id", "message_id", "family_id", "carer_id"),
)

handovers = Table(
    "handovers",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("family_id", String(64), ForeignKey("families.id"), nullable=False, index=True),
    Column("from_id", String(64), ForeignKey("therapists.id"), nullable=False),
    Column("to_id", String(64), ForeignKey("therapists.id"), nullable=False),
    Column("asked_at", Instant, nullable=False),
    Column("settled_at", Instant),
    Column("state", String(8), nullable=False),  # asked, accepted, declined, replaced
)

confidences = Table(
    "confidences",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("family_id", String(64), ForeignKey("families.id"), nullable=False, index=True),
    Column("carer_id", String(64), nullable=False),
    Column("activity", String(100), nullable=False),
    Column("kind", String(10), nullable=False, server_default="ruler"),  # ruler, teachback
    Column("asked_at", Instant, nullable=False),
    Column("value", Integer),
    Column("at", Instant),
)

# What the bot did by itself and the therapist should see in the digest.
notes = Table(
    "notes",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("family_id", String(64), ForeignKey("families.id"), nullable=False),
    Column("kind", String(12), nullable=False),  # load, quiet, pause, resume
    Column("data", JSON, nullable=False),  # numbers only, never words
    Column("at", Instant, nullable=False),
)
Index("ix_notes_family_at", notes.c.family_id, notes.c.at)

materials = Table(
    "materials",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("family_id", String(64), ForeignKey("families.id"), nullable=False, index=True),
    Column("activity", String(100), nullable=False),
    Column("kind", String(10), nullable=False),  # photo, video, voice
    Column("file_id", String(200), nullable=False),
    Column("caption", EncryptedText),
    Column("content", EncryptedBytes),  # fetched after the row is made, by the messenger edge
    Column("fetch_at", Instant),  # when to fetch the content next; none: it is here, or cannot be had
    Column("fetch_failed", Integer, nullable=False, server_default=text("0")),  # times
    Column("agreed_at", Instant),  # when the therapist said that the family agreed to it
    Column("added_by", String(64), nullable=False),
    Column("added_at", Instant, nullable=False),
    Column("withdrawn_at", Instant),
)

grades = Table(
    "grades",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("family_id", String(64), ForeignKey("families.id"), nullable=False, index=True),
    Column("scale", String(20), nullable=False),
    Column("values", EncryptedJson, nullable=False),
    Column("on_date", Date, nullable=False),
    Column("entered_by", String(64), nullable=False),
    Column("entered_at", Instant, nullable=False),
)

visits = Table(
    "visits",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("family_id", String(64), ForeignKey("families.id"), nullable=False, index=True),
    Column("at", Instant, nullable=False),
    Column("minutes", Integer, nullable=False),
    Column("note", EncryptedText),
    Column("made_by", String(64), nullable=False),
    Column("made_at", Instant, nullable=False),
    Column("cancelled_at", Instant),
)
Index("ix_visits_at", visits.c.at)

digests = Table(
    "digests",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("therapist_id", String(64), ForeignKey("therapists.id"), nullable=False),
    Column("from_at", Instant, nullable=False),
    Column("to_at", Instant, nullable=False),
    Column("made_at", Instant, nullable=False),
    Column(
        "last_message_id", BigInteger
    ),  # the newest message known then; older ones that come later are told next
    UniqueConstraint("therapist_id", "to_at"),
)

audit = Table(
    "audit",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=True),
    Column("at", Instant, nullable=False),
    Column("who", String(80), nullable=False),
    Column("what", String(60), nullable=False),
    Column("family_id", String(64)),
    Column("detail", String(200)),
)
Index("ix_audit_family_at", audit.c.family_id, audit.c.at)
