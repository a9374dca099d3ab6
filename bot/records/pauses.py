"""When a family had asked for a pause, so that its silence is not taken for silence."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import insert, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.tables import pauses

Pause = tuple[datetime, datetime]
"""From when until when: as asked for, or when it was ended early."""


async def begin(conn: AsyncConnection, family_id: str, *, now: datetime, until: datetime) -> None:
    """Note a pause; one that is still running is ended by it."""
    await end(conn, family_id, now)
    await conn.execute(insert(pauses).values(family_id=family_id, from_at=now, until_at=until))


async def end(conn: AsyncConnection, family_id: str, now: datetime) -> None:
    """End the pause that runs now, if there is one."""
    await conn.execute(
        update(pauses)
        .where(pauses.c.family_id == family_id, pauses.c.from_at <= now, pauses.c.until_at > now)
        .values(until_at=now)
    )


async def pauses_between(
    conn: AsyncConnection, family_id: str, start: datetime, end: datetime
) -> tuple[Pause, ...]:
    """Return the pauses that touch [start, end), the oldest first."""
    rows = await conn.execute(
        select(pauses.c.from_at, pauses.c.until_at)
        .where(pauses.c.family_id == family_id, pauses.c.from_at < end, pauses.c.until_at > start)
        .order_by(pauses.c.from_at)
    )
    return tuple((row.from_at, row.until_at) for row in rows)
