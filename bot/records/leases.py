"""Which process does what only one may do at a time: poll, send, keep the timers."""

from __future__ import annotations

from sqlalchemy import delete, insert, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.tables import leases


async def hold(
    conn: AsyncConnection, name: str, holder: str, *, real_now: float, seconds: float, dead: str | None = None
) -> bool:
    """Take or renew the lease `name`; return whether `holder` has it now. Times are real seconds.

    dead: a holder that is known to run no more, whose lease need not be waited out.
    """
    values = {"holder": holder, "until": real_now + seconds}
    free = (leases.c.holder == holder) | (leases.c.until < real_now)
    if dead is not None:
        free |= leases.c.holder == dead
    taken = await conn.execute(update(leases).where(leases.c.name == name, free).values(**values))
    if taken.rowcount:
        return True
    if await conn.scalar(select(leases.c.name).where(leases.c.name == name)) is not None:
        return False
    try:
        async with conn.begin_nested():
            await conn.execute(insert(leases).values(name=name, **values))
    except IntegrityError:
        return False
    return True


async def holder_of(conn: AsyncConnection, name: str) -> str | None:
    return await conn.scalar(select(leases.c.holder).where(leases.c.name == name))


async def give_up(conn: AsyncConnection, holder: str) -> None:
    await conn.execute(delete(leases).where(leases.c.holder == holder))
