"""Which digests were made, and up to which message."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import func, insert, select
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records import people
from bot.records.people import Family
from bot.records.tables import digests, families, messages


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
        insert(digests).values(
            therapist_id=therapist_id,
            from_at=from_at,
            to_at=to_at,
            made_at=now,
            last_message_id=await conn.scalar(select(func.max(messages.c.id))) or 0,
        )
    )
    return True


async def known_messages(conn: AsyncConnection, therapist_id: str, to_at: datetime) -> int | None:
    """Return the id of the newest message that the digest up to that very instant knew; None where there was none.

    A message that the service handed over late bears an earlier time than the digest that could not know it.
    """
    return await conn.scalar(
        select(digests.c.last_message_id).where(
            digests.c.therapist_id == therapist_id, digests.c.to_at == to_at
        )
    )


async def families_to_tell(conn: AsyncConnection, therapist_id: str, since: datetime) -> list[Family]:
    """Return a therapist's families, those discharged before `since` left out."""
    gone = set(
        await conn.scalars(
            select(families.c.id).where(
                families.c.therapist_id == therapist_id,
                families.c.state == "discharged",
                families.c.discharged_at.is_(None) | (families.c.discharged_at < since),
            )
        )
    )
    return [each for each in await people.families_of(conn, therapist_id) if each.id not in gone]
