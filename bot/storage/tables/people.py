"""The clinic, its people, and the chats that they write in."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import (
    JSON,
    Boolean,
    Date,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    String,
    UniqueConstraint,
)
from sqlalchemy import text as sql
from sqlalchemy.orm import Mapped, mapped_column

from bot.domain.ids import CarerId, ChatId, FamilyId, TherapistId
from bot.domain.json_value import JsonValue
from bot.storage.sealed_types import EncryptedJson, EncryptedText, LookupChat
from bot.storage.tables.base import Base, Instant, RowId, table_of


class ClinicsTable(Base):
    """The clinic: one row."""

    __tablename__ = "clinics"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    name: Mapped[str] = mapped_column(EncryptedText)
    time_zone: Mapped[str] = mapped_column(String(64))
    emergency_line: Mapped[str] = mapped_column(EncryptedText)
    nurse_line: Mapped[str] = mapped_column(EncryptedText)
    crisis_line: Mapped[str | None] = mapped_column(EncryptedText)
    digest_weekday: Mapped[int] = mapped_column(Integer)  # Monday 0
    digest_at: Mapped[str] = mapped_column(String(5))  # HH:MM, local to the clinic


clinics = table_of(ClinicsTable)


class TherapistsTable(Base):
    """Who coaches families."""

    __tablename__ = "therapists"

    id: Mapped[str] = mapped_column(String(64), primary_key=True)
    chat_id: Mapped[ChatId | None] = mapped_column(LookupChat, unique=True)
    name: Mapped[str] = mapped_column(EncryptedText)
    language: Mapped[str] = mapped_column(String(2), server_default="en")
    quiet_from: Mapped[str | None] = mapped_column(String(5))
    quiet_to: Mapped[str | None] = mapped_column(String(5))
    covered_by: Mapped[str | None] = mapped_column(String(64))
    # local to the clinic, like cover_until; both days included
    cover_from: Mapped[date | None] = mapped_column(Date)
    cover_until: Mapped[date | None] = mapped_column(Date)
    # the last digest told everything up to here
    digest_until: Mapped[datetime | None] = mapped_column(Instant)
    next_digest_at: Mapped[datetime | None] = mapped_column(Instant, index=True)
    joined_at: Mapped[datetime | None] = mapped_column(Instant)
    # they blocked the bot: their concerns go to others
    unreachable_at: Mapped[datetime | None] = mapped_column(Instant)
    # they work here no more; the row names who did what
    left_at: Mapped[datetime | None] = mapped_column(Instant)


therapists = table_of(TherapistsTable)


class FamiliesTable(Base):
    """One baby and its home, with how its reminders stand."""

    __tablename__ = "families"

    id: Mapped[str] = mapped_column(String(64), primary_key=True)
    therapist_id: Mapped[TherapistId] = mapped_column(String(64), ForeignKey("therapists.id"), index=True)
    nickname: Mapped[str] = mapped_column(EncryptedText)
    time_zone: Mapped[str] = mapped_column(EncryptedText)
    state: Mapped[str] = mapped_column(String(10), server_default="active")  # active, paused, discharged
    paused_until: Mapped[datetime | None] = mapped_column(Instant)
    asleep_until: Mapped[datetime | None] = mapped_column(Instant)
    plan_at: Mapped[datetime | None] = mapped_column(Instant)  # when the day must next be planned
    hold_until: Mapped[datetime | None] = mapped_column(Instant)  # "later": nothing before this instant
    rest_until: Mapped[datetime | None] = mapped_column(Instant)  # after an emergency, likewise
    budget: Mapped[int | None] = mapped_column(Integer)  # prompts a day as adapted; none: the plan's own cap
    # most a day by word; 0: never said
    asked_load: Mapped[int] = mapped_column(Integer, server_default=sql("0"))
    budget_on: Mapped[date | None] = mapped_column(Date)  # local date for which the budget was last weighed
    # when a carer gave or confirmed the day's shape
    shape_told_at: Mapped[datetime | None] = mapped_column(Instant)
    shape_draft: Mapped[dict[str, JsonValue] | None] = mapped_column(
        EncryptedJson
    )  # what was answered of it so far
    home_zone: Mapped[str | None] = mapped_column(EncryptedText)  # while away: the zone to come back to
    away_until: Mapped[date | None] = mapped_column(Date)  # last local day away
    # when reminders may come: scheduling.hours.Hours as lists; none: always
    reminder_hours: Mapped[list[JsonValue] | None] = mapped_column(EncryptedJson)
    # reminders stay where the plan puts them, and the day is not asked about
    keeps_times: Mapped[bool] = mapped_column(Boolean, server_default=sql("false"))
    # whom this family calls; none: the clinic's
    emergency_line: Mapped[str | None] = mapped_column(EncryptedText)
    nurse_line: Mapped[str | None] = mapped_column(EncryptedText)
    crisis_line: Mapped[str | None] = mapped_column(EncryptedText)
    group_allowed: Mapped[bool] = mapped_column(Boolean, server_default=sql("false"))
    # hash of the caseload file's section that was applied last
    loaded: Mapped[str | None] = mapped_column(EncryptedText)
    # when any carer last wrote or pressed something
    heard_at: Mapped[datetime | None] = mapped_column(Instant)
    kind_note_at: Mapped[datetime | None] = mapped_column(Instant)
    silence_told_at: Mapped[datetime | None] = mapped_column(Instant)
    discharged_at: Mapped[datetime | None] = mapped_column(Instant)
    joined_at: Mapped[datetime] = mapped_column(Instant)


families = table_of(FamiliesTable)
Index("ix_families_plan_at", families.c.state, families.c.plan_at)


class CarersTable(Base):
    """Who looks after a baby; a family's group takes part as a carer of its own."""

    __tablename__ = "carers"

    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"), primary_key=True)
    id: Mapped[str] = mapped_column(String(64), primary_key=True)
    chat_id: Mapped[ChatId | None] = mapped_column(LookupChat, index=True)
    name: Mapped[str] = mapped_column(EncryptedText)
    role: Mapped[str] = mapped_column(String(20), server_default="parent")
    language: Mapped[str] = mapped_column(String(2), server_default="en")
    state: Mapped[str] = mapped_column(String(10))  # invited, joining, active, left
    gets_prompts: Mapped[bool] = mapped_column(Boolean, server_default=sql("true"))
    off_duty_until: Mapped[datetime | None] = mapped_column(Instant)
    # until then the family's reminders go to this carer alone
    on_duty_until: Mapped[datetime | None] = mapped_column(Instant)
    consented_at: Mapped[datetime | None] = mapped_column(Instant)
    blocked_at: Mapped[datetime | None] = mapped_column(Instant)
    left_at: Mapped[datetime | None] = mapped_column(Instant)
    # the clinic ended it: no way back but a new invitation
    put_out: Mapped[bool] = mapped_column(Boolean, server_default=sql("false"))
    # {activity: date} that the therapist showed them and saw them do
    taught: Mapped[dict[str, str]] = mapped_column(JSON, server_default="{}")

    __table_args__ = (UniqueConstraint("family_id", "chat_id"),)


carers = table_of(CarersTable)


class InvitationsTable(Base):
    """One-time codes, kept as hashes."""

    __tablename__ = "invitations"

    code_hash: Mapped[str] = mapped_column(String(64), primary_key=True)
    family_id: Mapped[FamilyId | None] = mapped_column(String(64), ForeignKey("families.id"))
    carer_id: Mapped[CarerId | None] = mapped_column(String(64))
    therapist_id: Mapped[TherapistId | None] = mapped_column(String(64), ForeignKey("therapists.id"))
    expires_at: Mapped[datetime] = mapped_column(Instant)
    used_at: Mapped[datetime | None] = mapped_column(Instant)


invitations = table_of(InvitationsTable)


class ChatsTable(Base):
    """Where a talk of several steps stands in a chat."""

    __tablename__ = "chats"

    chat_id: Mapped[ChatId] = mapped_column(LookupChat, primary_key=True)
    step: Mapped[str | None] = mapped_column(EncryptedText)  # where a talk of several steps stands
    step_data: Mapped[dict[str, JsonValue] | None] = mapped_column(EncryptedJson)
    # the baby last talked about, where a chat has several
    family_id: Mapped[FamilyId | None] = mapped_column(String(64))
    stranger_told_at: Mapped[datetime | None] = mapped_column(Instant)
    wrong_codes: Mapped[int] = mapped_column(Integer, server_default=sql("0"))
    wrong_code_at: Mapped[datetime | None] = mapped_column(Instant)


chats = table_of(ChatsTable)


class HandoversTable(Base):
    """Families offered to a colleague."""

    __tablename__ = "handovers"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"), index=True)
    from_id: Mapped[TherapistId] = mapped_column(String(64), ForeignKey("therapists.id"))
    to_id: Mapped[TherapistId] = mapped_column(String(64), ForeignKey("therapists.id"))
    asked_at: Mapped[datetime] = mapped_column(Instant)
    settled_at: Mapped[datetime | None] = mapped_column(Instant)
    state: Mapped[str] = mapped_column(String(8))  # asked, accepted, declined, replaced


handovers = table_of(HandoversTable)


class LookupKeysTable(Base):
    """The key by which chats are looked up, sealed with the clinic's key: one row."""

    __tablename__ = "lookup_keys"

    id: Mapped[int] = mapped_column(Integer, primary_key=True)
    sealed: Mapped[bytes] = mapped_column(LargeBinary)


lookup_keys = table_of(LookupKeysTable)
