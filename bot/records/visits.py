"""Visits at the clinic: when the family comes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Row, insert, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.tables import families, visits


@dataclass(frozen=True, slots=True)
class KeptVisit:
    """at: aware. minutes: more than 0. note: the therapist's own, not for the family."""

    id: int
    family_id: str
    nickname: str
    at: datetime
    minutes: int
    note: str | None
    cancelled: bool


def _visit(row: Row[Any]) -> KeptVisit:
    return KeptVisit(
        row.id, row.family_id, row.nickname, row.at, row.minutes, row.note, row.cancelled_at is not None
    )


_JOINED = select(visits, families.c.nickname).join(families, families.c.id == visits.c.family_id)


async def add_visit(
    conn: AsyncConnection,
    family_id: str,
    *,
    at: datetime,
    minutes: int,
    note: str | None,
    made_by: str,
    now: datetime,
) -> int:
    inserted = await conn.execute(
        insert(visits)
        .values(family_id=family_id, at=at, minutes=minutes, note=note, made_by=made_by, made_at=now)
        .returning(visits.c.id)
    )
    return int(inserted.scalar_one())


async def visit(conn: AsyncConnection, visit_id: int) -> KeptVisit | None:
    row = (await conn.execute(_JOINED.where(visits.c.id == visit_id))).first()
    return None if row is None else _visit(row)


async def cancel(conn: AsyncConnection, visit_id: int, now: datetime) -> None:
    await conn.execute(update(visits).where(visits.c.id == visit_id).values(cancelled_at=now))


async def visits_of_family(conn: AsyncConnection, family_id: str, *, since: datetime) -> list[KeptVisit]:
    """Return the visits of a family that stand from `since` on, the earliest first."""
    rows = await conn.execute(
        _JOINED.where(visits.c.family_id == family_id, visits.c.at >= since, visits.c.cancelled_at.is_(None))
        .order_by(visits.c.at, visits.c.id)
    )  # fmt: skip
    return [_visit(row) for row in rows]


async def visits_of_therapist(
    conn: AsyncConnection, therapist_id: str, *, since: datetime
) -> list[KeptVisit]:
    """Return the visits of a therapist's families that stand from `since` on, the earliest first."""
    rows = await conn.execute(
        _JOINED.where(
            families.c.therapist_id == therapist_id, visits.c.at >= since, visits.c.cancelled_at.is_(None)
        ).order_by(visits.c.at, visits.c.id)
    )
    return [_visit(row) for row in rows]
