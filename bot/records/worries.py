"""Concerns and questions: what must reach the therapist, and whether it has."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from sqlalchemy import Row, func, insert, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.concerns.finding import URGENCIES, Urgency
from bot.records.rows import new_id
from bot.records.tables import concerns, questions

ConcernState = Literal["asked", "open", "seen", "answered", "wrong", "denied"]


@dataclass(frozen=True, slots=True)
class ConcernRow:
    id: int
    family_id: str
    carer_id: str
    message_id: int | None
    urgency: Urgency
    topics: tuple[str, ...]
    text: str
    state: ConcernState
    advice: str | None
    at: datetime
    told_at: datetime | None
    tellings: int
    seen_at: datetime | None
    answered_at: datetime | None

    @property
    def about(self) -> str:
        return f"concern:{self.id}"


@dataclass(frozen=True, slots=True)
class QuestionRow:
    id: int
    family_id: str
    carer_id: str
    message_id: int | None
    kind: Literal["question", "contact", "teachback"]
    activity: str | None
    text: str
    at: datetime
    answered_at: datetime | None
    answer: str | None
    thread: str | None = None

    @property
    def about(self) -> str:
        return f"question:{self.id}"


def _concern(row: Row[Any]) -> ConcernRow:
    return ConcernRow(
        id=row.id,
        family_id=row.family_id,
        carer_id=row.carer_id,
        message_id=row.message_id,
        urgency=row.urgency,
        topics=tuple(row.topics),
        text=row.text,
        state=row.state,
        advice=row.advice,
        at=row.at,
        told_at=row.told_at,
        tellings=row.tellings,
        seen_at=row.seen_at,
        answered_at=row.answered_at,
    )


def _question(row: Row[Any]) -> QuestionRow:
    return QuestionRow(
        id=row.id,
        family_id=row.family_id,
        carer_id=row.carer_id,
        message_id=row.message_id,
        kind=row.kind,
        activity=row.activity,
        text=row.text,
        at=row.at,
        answered_at=row.answered_at,
        answer=row.answer,
        thread=row.thread,
    )


async def add_concern(conn: AsyncConnection, *, topics: Sequence[str], **values: Any) -> int:
    inserted = await conn.execute(insert(concerns).values(topics=list(topics), **values))
    return new_id(inserted)


async def concern(conn: AsyncConnection, concern_id: int) -> ConcernRow | None:
    row = (await conn.execute(select(concerns).where(concerns.c.id == concern_id))).first()
    return None if row is None else _concern(row)


async def change_concern(conn: AsyncConnection, concern_id: int, **values: Any) -> None:
    await conn.execute(update(concerns).where(concerns.c.id == concern_id).values(**values))


async def concerns_of_message(conn: AsyncConnection, message_id: int) -> list[ConcernRow]:
    rows = await conn.execute(
        select(concerns).where(concerns.c.message_id == message_id).order_by(concerns.c.id)
    )
    return [_concern(row) for row in rows]


async def unanswered_asks(conn: AsyncConnection, now: datetime) -> list[ConcernRow]:
    """Return unclear worries that were asked about and stayed unanswered too long."""
    rows = await conn.execute(
        select(concerns)
        .where(concerns.c.state == "asked", concerns.c.ask_until <= now)
        .order_by(concerns.c.id)
        .limit(100)
        .with_for_update(skip_locked=True)
    )
    return [_concern(row) for row in rows]


async def unseen(conn: AsyncConnection, now: datetime) -> list[ConcernRow]:
    """Return told concerns whose next telling is due, since nobody has seen them."""
    rows = await conn.execute(
        select(concerns)
        .where(concerns.c.state == "open", concerns.c.next_tell_at <= now)
        .order_by(concerns.c.id)
        .limit(100)
        .with_for_update(skip_locked=True)
    )
    return [_concern(row) for row in rows]


async def next_wake(conn: AsyncConnection) -> datetime | None:
    """Return when a worry next needs something: an ask unanswered, a telling to repeat."""
    asked = await conn.scalar(select(func.min(concerns.c.ask_until)).where(concerns.c.state == "asked"))
    told = await conn.scalar(select(func.min(concerns.c.next_tell_at)).where(concerns.c.state == "open"))
    known = [instant for instant in (asked, told) if instant is not None]
    return min(known) if known else None


async def add_question(conn: AsyncConnection, **values: Any) -> int:
    inserted = await conn.execute(insert(questions).values(**values))
    return new_id(inserted)


async def question(conn: AsyncConnection, question_id: int) -> QuestionRow | None:
    row = (await conn.execute(select(questions).where(questions.c.id == question_id))).first()
    return None if row is None else _question(row)


async def change_question(conn: AsyncConnection, question_id: int, **values: Any) -> None:
    await conn.execute(update(questions).where(questions.c.id == question_id).values(**values))


async def untold_questions(conn: AsyncConnection) -> list[QuestionRow]:
    """Return questions that have reached no therapist yet, the oldest first."""
    rows = await conn.execute(
        select(questions)
        .where(questions.c.told_at.is_(None), questions.c.answered_at.is_(None))
        .order_by(questions.c.id)
        .limit(50)
    )
    return [_question(row) for row in rows]


async def open_concerns(conn: AsyncConnection, family_id: str) -> list[ConcernRow]:
    """Return worries that no therapist has dealt with (seen is not dealt with), the most urgent told first."""
    rows = await conn.execute(
        select(concerns)
        .where(concerns.c.family_id == family_id, concerns.c.state.in_(("open", "seen")))
        .where(concerns.c.answered_at.is_(None))
        .order_by(concerns.c.at, concerns.c.id)
    )
    found = [_concern(row) for row in rows]
    return sorted(found, key=lambda each: URGENCIES.index(each.urgency))


async def open_questions(conn: AsyncConnection, family_id: str) -> list[QuestionRow]:
    """Return questions without an answer, the oldest first."""
    rows = await conn.execute(
        select(questions)
        .where(questions.c.family_id == family_id, questions.c.answered_at.is_(None))
        .order_by(questions.c.at, questions.c.id)
    )
    return [_question(row) for row in rows]


async def families_waiting(conn: AsyncConnection, family_ids: Sequence[str]) -> set[str]:
    """Return which of these families have an urgent worry or a question that nobody has dealt with."""
    waiting: set[str] = set()
    for query in (
        select(concerns.c.family_id).where(
            concerns.c.state.in_(("open", "seen")),
            concerns.c.answered_at.is_(None),
            concerns.c.urgency != "tell_therapist",
            concerns.c.family_id.in_(family_ids),
        ),
        select(questions.c.family_id).where(
            questions.c.answered_at.is_(None), questions.c.family_id.in_(family_ids)
        ),
    ):
        waiting |= set((await conn.scalars(query.distinct())).all())
    return waiting


async def long_unseen(conn: AsyncConnection, before: datetime) -> int:
    """Return how many urgent worries of before an instant no therapist has seen."""
    found = await conn.scalar(
        select(func.count())
        .select_from(concerns)
        .where(concerns.c.state == "open", concerns.c.urgency != "tell_therapist", concerns.c.at < before)
    )
    return int(found or 0)


async def concerns_between(
    conn: AsyncConnection, family_id: str, start: datetime, end: datetime
) -> list[ConcernRow]:
    """Return the concerns said in [start, end), denied ones left out."""
    rows = await conn.execute(
        select(concerns)
        .where(
            concerns.c.family_id == family_id,
            concerns.c.at >= start,
            concerns.c.at < end,
            concerns.c.state != "denied",
        )
        .order_by(concerns.c.at, concerns.c.id)
    )
    return [_concern(row) for row in rows]


async def questions_between(
    conn: AsyncConnection, family_id: str, start: datetime, end: datetime
) -> list[QuestionRow]:
    rows = await conn.execute(
        select(questions)
        .where(questions.c.family_id == family_id, questions.c.at >= start, questions.c.at < end)
        .order_by(questions.c.at, questions.c.id)
    )
    return [_question(row) for row in rows]


async def question_of_message(conn: AsyncConnection, message_id: int) -> QuestionRow | None:
    """Return the question that a message was passed on as, the newest."""
    row = (
        await conn.execute(
            select(questions)
            .where(questions.c.message_id == message_id)
            .order_by(questions.c.id.desc())
            .limit(1)
        )
    ).first()
    return None if row is None else _question(row)
