"""What therapists wrote to families, message by message, so that a thread stays together and an edit finds its copy."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Row, insert, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.tables import answers


@dataclass(frozen=True, slots=True)
class Answer:
    """One message of a therapist to one carer. thread: what it answers, "concern:3", "question:4", "letter:5"."""

    id: int
    family_id: str
    carer_id: str
    therapist_id: str
    thread: str
    message_id: int
    kind: str
    text: str
    outbox_id: int | None
    at: datetime


def _answer(row: Row[Any]) -> Answer:
    return Answer(
        id=row.id,
        family_id=row.family_id,
        carer_id=row.carer_id,
        therapist_id=row.therapist_id,
        thread=row.thread,
        message_id=row.message_id,
        kind=row.kind,
        text=row.text or "",
        outbox_id=row.outbox_id,
        at=row.at,
    )


async def keep(conn: AsyncConnection, **values: Any) -> int:
    """Keep what a therapist wrote; return its number."""
    inserted = await conn.execute(insert(answers).values(**values).returning(answers.c.id))
    return int(inserted.scalar_one())


async def change(conn: AsyncConnection, answer_id: int, **values: Any) -> None:
    await conn.execute(update(answers).where(answers.c.id == answer_id).values(**values))


async def answer(conn: AsyncConnection, answer_id: int) -> Answer | None:
    row = (await conn.execute(select(answers).where(answers.c.id == answer_id))).first()
    return None if row is None else _answer(row)


async def of_message(conn: AsyncConnection, chat_id: int, message_id: int) -> list[Answer]:
    """Return the copies of one message of a therapist: one a carer whom it went to."""
    rows = await conn.execute(
        select(answers)
        .where(answers.c.chat_id == chat_id, answers.c.message_id == message_id)
        .order_by(answers.c.id)
    )
    return [_answer(row) for row in rows]
