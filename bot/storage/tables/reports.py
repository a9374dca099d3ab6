"""What is told to therapists and what is kept of it."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import JSON, BigInteger, Date, ForeignKey, Index, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from bot.domain.ids import FamilyId, TherapistId
from bot.storage.sealed_types import EncryptedJson, EncryptedText
from bot.storage.tables.base import Base, Instant, RowId, table_of


class NotesTable(Base):
    """What the bot did by itself and the therapist should see in the digest."""

    __tablename__ = "notes"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"))
    kind: Mapped[str] = mapped_column(String(12))  # load, quiet, pause, resume
    data: Mapped[dict[str, int]] = mapped_column(JSON)  # numbers only, never words
    at: Mapped[datetime] = mapped_column(Instant)


notes = table_of(NotesTable)
Index("ix_notes_family_at", notes.c.family_id, notes.c.at)


class GradesTable(Base):
    """Scale scores that therapists enter, sealed."""

    __tablename__ = "grades"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"), index=True)
    scale: Mapped[str] = mapped_column(String(20))
    values: Mapped[dict[str, int]] = mapped_column(EncryptedJson)
    on_date: Mapped[date] = mapped_column(Date)
    entered_by: Mapped[str] = mapped_column(String(64))
    entered_at: Mapped[datetime] = mapped_column(Instant)


grades = table_of(GradesTable)


class DigestsTable(Base):
    """Which digests were sent, so that none is sent twice."""

    __tablename__ = "digests"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    therapist_id: Mapped[TherapistId] = mapped_column(String(64), ForeignKey("therapists.id"))
    from_at: Mapped[datetime] = mapped_column(Instant)
    to_at: Mapped[datetime] = mapped_column(Instant)
    made_at: Mapped[datetime] = mapped_column(Instant)
    # the newest message known then; older ones that come later are told next
    last_message_id: Mapped[int | None] = mapped_column(BigInteger)

    __table_args__ = (UniqueConstraint("therapist_id", "to_at"),)


digests = table_of(DigestsTable)


class AuditTable(Base):
    """Who saw or changed what; it outlasts an erased family."""

    __tablename__ = "audit"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    at: Mapped[datetime] = mapped_column(Instant)
    who: Mapped[str] = mapped_column(String(80))
    what: Mapped[str] = mapped_column(String(60))
    family_id: Mapped[FamilyId | None] = mapped_column(String(64))
    detail: Mapped[str | None] = mapped_column(EncryptedText)


audit = table_of(AuditTable)
Index("ix_audit_family_at", audit.c.family_id, audit.c.at)
