"""What a family is to do: plans, their drafts, reminders, materials, visits."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import Boolean, Date, Float, ForeignKey, Index, Integer, String, UniqueConstraint
from sqlalchemy import text as sql
from sqlalchemy.orm import Mapped, mapped_column

from bot.domain.ids import FamilyId, TherapistId
from bot.domain.json_value import JsonValue
from bot.storage.sealed_types import EncryptedBytes, EncryptedJson, EncryptedText
from bot.storage.tables.base import Base, Instant, RowId, table_of


class PlansTable(Base):
    """Every version of a family's plan; the newest is in force."""

    __tablename__ = "plans"

    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"), primary_key=True)
    version: Mapped[int] = mapped_column(Integer, primary_key=True)
    document: Mapped[dict[str, JsonValue]] = mapped_column(EncryptedJson)
    made_at: Mapped[datetime] = mapped_column(Instant)
    made_by: Mapped[str | None] = mapped_column(String(64))
    note: Mapped[str | None] = mapped_column(EncryptedText)
    told_at: Mapped[datetime | None] = mapped_column(Instant)
    # the document, which is sealed, may hold the arm; versions of before the column say so whether they do or not
    may_hold_arm: Mapped[bool] = mapped_column(Boolean, server_default=sql("true"))


plans = table_of(PlansTable)
Index(
    "ix_plans_untold",
    plans.c.family_id,
    sqlite_where=plans.c.told_at.is_(None),
    postgresql_where=plans.c.told_at.is_(None),
)


class PlanDraftsTable(Base):
    """Plans that a therapist is building and has not sent."""

    __tablename__ = "plan_drafts"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    therapist_id: Mapped[TherapistId] = mapped_column(String(64), ForeignKey("therapists.id"))
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"))
    document: Mapped[dict[str, JsonValue]] = mapped_column(EncryptedJson)
    base_version: Mapped[int] = mapped_column(Integer)  # the version in force when the draft was begun
    changed_at: Mapped[datetime] = mapped_column(Instant)

    __table_args__ = (UniqueConstraint("therapist_id", "family_id"),)


plan_drafts = table_of(PlanDraftsTable)


class RemindersTable(Base):
    """One prompt of a family's day."""

    __tablename__ = "reminders"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"))
    activity: Mapped[str] = mapped_column(String(100))
    local_date: Mapped[date] = mapped_column(Date)
    slot: Mapped[int] = mapped_column(Integer)
    side: Mapped[str | None] = mapped_column(EncryptedText)
    minutes: Mapped[float] = mapped_column(Float)
    moment: Mapped[str | None] = mapped_column(String(12))
    because: Mapped[dict[str, JsonValue] | None] = mapped_column(EncryptedJson)
    due_at: Mapped[datetime] = mapped_column(Instant)
    late_after: Mapped[datetime] = mapped_column(Instant)  # not sent any more after this instant
    state: Mapped[str] = mapped_column(String(8))  # planned, sent, answered, later, skipped, expired, dropped
    reason: Mapped[str | None] = mapped_column(EncryptedText)  # of a skip
    # asked for: replanning keeps it
    pinned: Mapped[bool] = mapped_column(Boolean, server_default=sql("false"))
    sent_at: Mapped[datetime | None] = mapped_column(Instant)
    closed_at: Mapped[datetime | None] = mapped_column(Instant)

    __table_args__ = (UniqueConstraint("family_id", "activity", "local_date", "slot"),)


reminders = table_of(RemindersTable)
Index(
    "ix_reminders_due",
    reminders.c.due_at,
    sqlite_where=reminders.c.state == "planned",
    postgresql_where=reminders.c.state == "planned",
)
Index("ix_reminders_family_date", reminders.c.family_id, reminders.c.local_date)


class MaterialsTable(Base):
    """What a therapist shows of an activity, for one family."""

    __tablename__ = "materials"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"), index=True)
    activity: Mapped[str] = mapped_column(String(100))
    kind: Mapped[str] = mapped_column(String(10))  # photo, video, voice
    file_id: Mapped[str] = mapped_column(EncryptedText)
    caption: Mapped[str | None] = mapped_column(EncryptedText)
    # fetched after the row is made, by the messenger edge
    content: Mapped[bytes | None] = mapped_column(EncryptedBytes)
    # when to fetch the content next; none: it is here, or cannot be had
    fetch_at: Mapped[datetime | None] = mapped_column(Instant)
    fetch_failed: Mapped[int] = mapped_column(Integer, server_default=sql("0"))  # times
    # when the therapist said that the family agreed to it
    agreed_at: Mapped[datetime | None] = mapped_column(Instant)
    added_by: Mapped[str] = mapped_column(String(64))
    added_at: Mapped[datetime] = mapped_column(Instant)
    withdrawn_at: Mapped[datetime | None] = mapped_column(Instant)


materials = table_of(MaterialsTable)


class VisitsTable(Base):
    """Visits at the clinic."""

    __tablename__ = "visits"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"), index=True)
    at: Mapped[datetime] = mapped_column(Instant)
    minutes: Mapped[int] = mapped_column(Integer)
    note: Mapped[str | None] = mapped_column(EncryptedText)
    made_by: Mapped[str] = mapped_column(String(64))
    made_at: Mapped[datetime] = mapped_column(Instant)
    cancelled_at: Mapped[datetime | None] = mapped_column(Instant)


visits = table_of(VisitsTable)
Index("ix_visits_at", visits.c.at)
