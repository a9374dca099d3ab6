"""What carers told: messages, and what was read from them."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import BigInteger, Date, Float, ForeignKey, Index, Integer, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from bot.domain.ids import CarerId, ChatId, FamilyId, OutboxId, ReminderId
from bot.storage.sealed_types import EncryptedText, LookupChat, LookupWord
from bot.storage.tables.base import Base, Instant, RowId, table_of


class MessagesTable(Base):
    """What a person wrote, verbatim."""

    __tablename__ = "messages"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId | None] = mapped_column(String(64), ForeignKey("families.id"), index=True)
    carer_id: Mapped[CarerId | None] = mapped_column(String(64))
    chat_id: Mapped[ChatId] = mapped_column(LookupChat)
    message_id: Mapped[int] = mapped_column(BigInteger)
    kind: Mapped[str] = mapped_column(String(10))  # text, photo, voice, …
    text: Mapped[str | None] = mapped_column(EncryptedText)
    unread: Mapped[str | None] = mapped_column(EncryptedText)
    file_id: Mapped[str | None] = mapped_column(EncryptedText)
    reminder_id: Mapped[ReminderId | None] = mapped_column(BigInteger)
    answer_id: Mapped[OutboxId | None] = mapped_column(BigInteger)  # outbox row that told what was counted
    corrects: Mapped[int | None] = mapped_column(BigInteger)  # the session that it put right or completed
    at: Mapped[datetime] = mapped_column(Instant)
    edited_at: Mapped[datetime | None] = mapped_column(Instant)

    __table_args__ = (UniqueConstraint("chat_id", "message_id"),)


messages = table_of(MessagesTable)
Index("ix_messages_family_at", messages.c.family_id, messages.c.at)


class SessionsTable(Base):
    """Log entries: minutes of one activity that a carer logged."""

    __tablename__ = "sessions"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"))
    carer_id: Mapped[CarerId] = mapped_column(String(64))
    message_id: Mapped[int | None] = mapped_column(BigInteger, ForeignKey("messages.id"))
    reminder_id: Mapped[ReminderId | None] = mapped_column(BigInteger, ForeignKey("reminders.id"))
    activity: Mapped[str | None] = mapped_column(String(100))
    minutes: Mapped[float | None] = mapped_column(Float)
    side: Mapped[str | None] = mapped_column(EncryptedText)
    local_date: Mapped[date] = mapped_column(Date)
    local_at: Mapped[str | None] = mapped_column(String(5))
    at: Mapped[datetime] = mapped_column(Instant)  # when it counts as done
    state: Mapped[str] = mapped_column(String(8))  # counted, asked, undone, replaced (by an edited message)
    twin_of: Mapped[int | None] = mapped_column(BigInteger)  # a like entry of another carer, asked about
    logged_at: Mapped[datetime] = mapped_column(Instant)


sessions = table_of(SessionsTable)
Index("ix_sessions_family_date", sessions.c.family_id, sessions.c.local_date)


class ObservationsTable(Base):
    """What carers saw."""

    __tablename__ = "observations"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"))
    carer_id: Mapped[CarerId] = mapped_column(String(64))
    message_id: Mapped[int | None] = mapped_column(BigInteger, ForeignKey("messages.id"))
    kind: Mapped[str] = mapped_column(LookupWord)
    side: Mapped[str | None] = mapped_column(EncryptedText)
    activity: Mapped[str | None] = mapped_column(String(100))
    at: Mapped[datetime] = mapped_column(Instant)


observations = table_of(ObservationsTable)
Index("ix_observations_family_at", observations.c.family_id, observations.c.at)


class SkipsTable(Base):
    """Why something was not done."""

    __tablename__ = "skips"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"))
    carer_id: Mapped[CarerId] = mapped_column(String(64))
    message_id: Mapped[int | None] = mapped_column(BigInteger, ForeignKey("messages.id"))
    reminder_id: Mapped[ReminderId | None] = mapped_column(BigInteger)
    activity: Mapped[str | None] = mapped_column(String(100))
    reason: Mapped[str] = mapped_column(LookupWord)
    at: Mapped[datetime] = mapped_column(Instant)


skips = table_of(SkipsTable)
Index("ix_skips_family_at", skips.c.family_id, skips.c.at)


class ConfidencesTable(Base):
    """How sure carers said they feel, and when they were asked."""

    __tablename__ = "confidences"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"), index=True)
    carer_id: Mapped[CarerId] = mapped_column(String(64))
    activity: Mapped[str] = mapped_column(String(100))
    kind: Mapped[str] = mapped_column(String(10), server_default="ruler")  # ruler, teachback
    asked_at: Mapped[datetime] = mapped_column(Instant)
    value: Mapped[int | None] = mapped_column(Integer)
    at: Mapped[datetime | None] = mapped_column(Instant)


confidences = table_of(ConfidencesTable)
