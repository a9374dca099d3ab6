"""A family on its way from one therapist to another: asked for, accepted or declined."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from sqlalchemy import insert, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.tables import handovers

State = Literal["asked", "accepted", "declined", "replaced"]


@dataclass(frozen=True, slots=True)
class Handover:
    id: int
    family_id: str
    from_id: str
    to_id: str
    state: State


async def ask(conn: AsyncConnection, *, family_id: str, from_id: str, to_id: str, now: datetime) -> int:
    """Keep that a family is offered to a colleague, in place of any earlier offer; return its number."""
    await conn.execute(
        update(handovers)
        .where(handovers.c.family_id == family_id, handovers.c.state == "asked")
        .values(state="replaced", settled_at=now)
    )
    inserted = await conn.execute(
        insert(handovers)
        .values(family_id=family_id, from_id=from_id, to_id=to_id, asked_at=now, state="asked")
        .returning(handovers.c.id)
    )
    return int(inserted.scalar_one())


async def handover(conn: AsyncConnection, handover_id: int) -> Handover | None:
    row = (await conn.execute(select(handovers).where(handovers.c.id == handover_id))).first()
    return None if row is None else Handover(row.id, row.family_id, row.from_id, row.to_id, row.state)


async def settle(conn: AsyncConnection, handover_id: int, state: State, now: datetime) -> None:
    await conn.execute(
        update(handovers).where(handovers.c.id == handover_id).values(state=state, settled_at=now)
    )
