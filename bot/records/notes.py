"""What the bot did by itself and the therapist should see: kinds and numbers, never anybody's words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from sqlalchemy import insert, select
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.tables import notes

NoteKind = Literal["load", "quiet"]


@dataclass(frozen=True, slots=True)
class Note:
    """load: {"before", "after", "asked"}: reminders a day, and whether a carer asked. quiet: {"days"} without a word."""

    kind: NoteKind
    data: dict[str, Any]
    at: datetime


async def add(
    conn: AsyncConnection, family_id: str, kind: NoteKind, now: datetime, **data: int | bool
) -> None:
    await conn.execute(insert(notes).values(family_id=family_id, kind=kind, data=data, at=now))


async def between(conn: AsyncConnection, family_id: str, start: datetime, end: datetime) -> list[Note]:
    """Return the notes of [start, end), the oldest first."""
    rows = await conn.execute(
        select(notes)
        .where(notes.c.family_id == family_id, notes.c.at >= start, notes.c.at < end)
        .order_by(notes.c.at, notes.c.id)
    )
    return [Note(row.kind, row.data, row.at) for row in rows]
