"""Which digests were made."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import insert, select
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.tables import digests


async def note_digest(
    conn: AsyncConnection, therapist_id: str, *, from_at: datetime, to_at: datetime, now: datetime
) -> bool:
    """Note that a digest was made; False where one up to that instant was made before."""
    known = await conn.scalar(
        select(digests.c.id).where(digests.c.therapist_id == therapist_id, digests.c.to_at == to_at)
    )
    if known is not None:
        return False
    await conn.execute(
        insert(digests).values(therapist_id=therapist_id, from_at=from_at, to_at=to_at, made_at=now)
    )
    return True
