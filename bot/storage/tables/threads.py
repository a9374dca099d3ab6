"""What passes between carers and therapists: concerns, questions, answers."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import BigInteger, Boolean, ForeignKey, Index, Integer, String, UniqueConstraint
from sqlalchemy import text as sql
from sqlalchemy.orm import Mapped, mapped_column

from bot.domain.ids import CarerId, ChatId, FamilyId, OutboxId, TherapistId
from bot.storage.sealed_types import EncryptedJson, EncryptedText, LookupChat
from bot.storage.tables.base import Base, Instant, RowId, table_of


class ConcernsTable(Base):
    """What carers said that may matter, in their own words."""

    __tablename__ = "concerns"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"))
    carer_id: Mapped[CarerId] = mapped_column(String(64))
    message_id: Mapped[int | None] = mapped_column(BigInteger, ForeignKey("messages.id"))
    urgency: Mapped[str] = mapped_column(String(14))
    topics: Mapped[list[str]] = mapped_column(EncryptedJson)
    text: Mapped[str] = mapped_column(EncryptedText)
    state: Mapped[str] = mapped_column(String(10))  # asked (unclear), open, seen, answered, wrong, denied
    advice: Mapped[str | None] = mapped_column(EncryptedText)
    at: Mapped[datetime] = mapped_column(Instant)
    # an unclear one is forwarded then, unanswered
    ask_until: Mapped[datetime | None] = mapped_column(Instant)
    told_at: Mapped[datetime | None] = mapped_column(Instant)
    tellings: Mapped[int] = mapped_column(Integer, server_default=sql("0"))
    seen_at: Mapped[datetime | None] = mapped_column(Instant)
    answered_at: Mapped[datetime | None] = mapped_column(Instant)
    handled_by: Mapped[str | None] = mapped_column(String(64))
    # when the therapist let the arm's activities go on, where it held them
    released_at: Mapped[datetime | None] = mapped_column(Instant)
    # when its carer is asked how the baby is; none: not, or done
    ask_how_at: Mapped[datetime | None] = mapped_column(Instant)
    # nothing of it may show where others of the home can read it
    discreet: Mapped[bool] = mapped_column(Boolean, server_default=sql("false"))


concerns = table_of(ConcernsTable)
Index("ix_concerns_family_at", concerns.c.family_id, concerns.c.at)
Index("ix_concerns_ask_until", concerns.c.ask_until)
Index("ix_concerns_ask_how", concerns.c.ask_how_at)


class UnseenSpellsTable(Base):
    """Families whose urgent concerns nobody has seen yet: when all of them are told again."""

    __tablename__ = "unseen_spells"

    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"), primary_key=True)
    first_concern: Mapped[int] = mapped_column(BigInteger)
    begun_at: Mapped[datetime] = mapped_column(Instant)
    restarted_at: Mapped[datetime] = mapped_column(Instant)
    next_at: Mapped[datetime] = mapped_column(Instant, index=True)


unseen_spells = table_of(UnseenSpellsTable)


class QuestionsTable(Base):
    """What carers asked the therapist."""

    __tablename__ = "questions"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"))
    carer_id: Mapped[CarerId] = mapped_column(String(64))
    message_id: Mapped[int | None] = mapped_column(BigInteger, ForeignKey("messages.id"))
    kind: Mapped[str] = mapped_column(String(10))  # question, contact, teachback, check
    activity: Mapped[str | None] = mapped_column(String(100))
    # "concern:3", "question:4", "letter:5": what it goes on from
    thread: Mapped[str | None] = mapped_column(String(60))
    text: Mapped[str] = mapped_column(EncryptedText)
    at: Mapped[datetime] = mapped_column(Instant)
    told_at: Mapped[datetime | None] = mapped_column(Instant)
    answered_at: Mapped[datetime | None] = mapped_column(Instant)
    answer: Mapped[str | None] = mapped_column(EncryptedText)
    answered_by: Mapped[str | None] = mapped_column(String(64))


questions = table_of(QuestionsTable)
Index("ix_questions_family_at", questions.c.family_id, questions.c.at)
Index(
    "ix_questions_untold",
    questions.c.id,
    sqlite_where=questions.c.told_at.is_(None),
    postgresql_where=questions.c.told_at.is_(None),
)


class HoldNotesTable(Base):
    """What therapists said of how a family does a hold; it stands on the family's card."""

    __tablename__ = "hold_notes"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"), index=True)
    activity: Mapped[str] = mapped_column(String(100))
    therapist_id: Mapped[TherapistId] = mapped_column(String(64), ForeignKey("therapists.id"))
    text: Mapped[str] = mapped_column(EncryptedText)
    at: Mapped[datetime] = mapped_column(Instant)


hold_notes = table_of(HoldNotesTable)


class AnswersTable(Base):
    """What therapists wrote, a row a carer who got it."""

    __tablename__ = "answers"

    id: Mapped[int] = mapped_column(RowId, primary_key=True, autoincrement=True)
    family_id: Mapped[FamilyId] = mapped_column(String(64), ForeignKey("families.id"), index=True)
    carer_id: Mapped[CarerId] = mapped_column(String(64))
    therapist_id: Mapped[TherapistId] = mapped_column(String(64))
    thread: Mapped[str] = mapped_column(String(60))  # what it answers; a letter begins a thread of its own
    chat_id: Mapped[ChatId] = mapped_column(LookupChat)  # the therapist's message
    message_id: Mapped[int] = mapped_column(BigInteger)
    kind: Mapped[str] = mapped_column(String(10))  # text, photo, voice, …
    text: Mapped[str | None] = mapped_column(EncryptedText)
    outbox_id: Mapped[OutboxId | None] = mapped_column(BigInteger)  # what the carer got
    at: Mapped[datetime] = mapped_column(Instant)
    edited_at: Mapped[datetime | None] = mapped_column(Instant)

    __table_args__ = (UniqueConstraint("chat_id", "message_id", "family_id", "carer_id"),)


answers = table_of(AnswersTable)
