"""What came in and what goes out."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import BigInteger, Boolean, Float, Index, Integer, String
from sqlalchemy import text as sql
from sqlalchemy.orm import Mapped, mapped_column

from bot.domain.ids import ChatId, FamilyId
from bot.domain.json_value import JsonValue
from bot.storage.sealed_types import EncryptedJson, EncryptedText, LookupChat
from bot.storage.tables.base import Base, Instant, RowId, table_of


class InboxTable(Base):
    """What the messaging service handed over, update by update."""

    __tablename__ = "inbox"

    seq: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    update_id: Mapped[int] = mapped_column(BigInteger, unique=True)
    chat_id: Mapped[ChatId | None] = mapped_column(LookupChat)
    raw: Mapped[dict[str, JsonValue]] = mapped_column(EncryptedJson)
    state: Mapped[str] = mapped_column(String(8))  # new, done, dead
    urgent: Mapped[bool] = mapped_column(Boolean, server_default=sql("false"))  # its words may hold a concern
    attempts: Mapped[int] = mapped_column(Integer, server_default=sql("0"))
    retry_at: Mapped[float] = mapped_column(Float, server_default=sql("0"))  # real seconds
    error: Mapped[str | None] = mapped_column(EncryptedText)
    received_at: Mapped[datetime] = mapped_column(Instant)


inbox = table_of(InboxTable)
Index(
    "ix_inbox_waiting",
    inbox.c.seq,
    sqlite_where=inbox.c.state == "new",
    postgresql_where=inbox.c.state == "new",
)
Index(
    "ix_inbox_chat_waiting",
    inbox.c.chat_id,
    inbox.c.seq,
    sqlite_where=inbox.c.state == "new",
    postgresql_where=inbox.c.state == "new",
)
Index(
    "ix_inbox_urgent",
    inbox.c.chat_id,
    inbox.c.seq,
    sqlite_where=(inbox.c.state == "new") & inbox.c.urgent,
    postgresql_where=(inbox.c.state == "new") & inbox.c.urgent,
)


class OutboxTable(Base):
    """What must be said, and what became of it."""

    __tablename__ = "outbox"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    key: Mapped[str | None] = mapped_column(String(120), unique=True)  # what may be said once only
    kind: Mapped[str] = mapped_column(String(12))  # press, concern, reply, reminder, digest
    priority: Mapped[int] = mapped_column(Integer)
    chat_id: Mapped[ChatId] = mapped_column(LookupChat)
    action: Mapped[str] = mapped_column(String(12))  # send, edit, buttons, picture, document, press, …
    payload: Mapped[dict[str, JsonValue]] = mapped_column(EncryptedJson)
    family_id: Mapped[FamilyId | None] = mapped_column(
        String(64)
    )  # the family it speaks of, where there is one
    # "reminder:12", "concern:3", …: what a reply to it is about
    about: Mapped[str | None] = mapped_column(String(60))
    # rendering, held, waiting, sending, sent, failed, unknown, dropped
    state: Mapped[str] = mapped_column(String(10))
    attempts: Mapped[int] = mapped_column(Integer, server_default=sql("0"))
    retry_at: Mapped[float] = mapped_column(Float, server_default=sql("0"))  # real seconds
    lease_until: Mapped[float] = mapped_column(Float, server_default=sql("0"))  # real seconds
    expires_at: Mapped[datetime | None] = mapped_column(Instant)
    # a therapist's quiet time; far off while they cannot be reached
    held_until: Mapped[datetime | None] = mapped_column(Instant)
    message_id: Mapped[int | None] = mapped_column(BigInteger)
    file_id: Mapped[str | None] = mapped_column(EncryptedText)
    error: Mapped[str | None] = mapped_column(String(500))
    created_at: Mapped[datetime] = mapped_column(Instant)
    sent_at: Mapped[datetime | None] = mapped_column(Instant)


outbox = table_of(OutboxTable)
Index(
    "ix_outbox_waiting",
    outbox.c.priority,
    outbox.c.id,
    sqlite_where=outbox.c.state == "waiting",
    postgresql_where=outbox.c.state == "waiting",
)
Index(
    "ix_outbox_chat_waiting",
    outbox.c.chat_id,
    outbox.c.priority,
    outbox.c.id,
    sqlite_where=outbox.c.state == "waiting",
    postgresql_where=outbox.c.state == "waiting",
)
Index(
    "ix_outbox_not_told",
    outbox.c.created_at,
    sqlite_where=outbox.c.state.in_(("failed", "unknown")),
    postgresql_where=outbox.c.state.in_(("failed", "unknown")),
)
Index(
    "ix_outbox_rendering",
    outbox.c.priority,
    outbox.c.id,
    sqlite_where=outbox.c.state == "rendering",
    postgresql_where=outbox.c.state == "rendering",
)
Index(
    "ix_outbox_sending",
    outbox.c.lease_until,
    sqlite_where=outbox.c.state == "sending",
    postgresql_where=outbox.c.state == "sending",
)
Index(
    "ix_outbox_held",
    outbox.c.held_until,
    sqlite_where=outbox.c.state == "held",
    postgresql_where=outbox.c.state == "held",
)
Index("ix_outbox_chat_message", outbox.c.chat_id, outbox.c.message_id)
Index("ix_outbox_about", outbox.c.about)


class LeasesTable(Base):
    """Which process does what only one may do at a time."""

    __tablename__ = "leases"

    name: Mapped[str] = mapped_column(String(20), primary_key=True)
    holder: Mapped[str] = mapped_column(String(80))
    until: Mapped[float] = mapped_column(Float)  # real seconds


leases = table_of(LeasesTable)
