"""How sure carers say they feel, and when they were asked: the ruler from 0 to 10, and "tell me how you do it"."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from sqlalchemy import Row, insert, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.tables import confidences

AskedKind = Literal["ruler", "teachback"]


@dataclass(frozen=True, slots=True)
class Asked:
    """One question of this kind to one carer. value: 0 to 10, None where it is not answered or was no ruler."""

    id: int
    family_id: str
    carer_id: str
    activity: str
    kind: AskedKind
    asked_at: datetime
    value: int | None
    at: datetime | None = None

    @property
    def about(self) -> str:
        return f"confidence:{self.id}"


def _asked(row: Row[Any]) -> Asked:
    return Asked(row.id, row.family_id, row.carer_id, row.activity, row.kind, row.asked_at, row.value, row.at)


async def ask(
    conn: AsyncConnection, *, family_id: str, carer_id: str, activity: str, kind: AskedKind, now: datetime
) -> Asked:
    """Keep that a question was asked."""
    values = {
        "family_id": family_id, "carer_id": carer_id, "activity": activity, "kind": kind, "asked_at": now,
    }  # fmt: skip
    row = (await conn.execute(insert(confidences).values(**values).returning(confidences))).one()
    return _asked(row)


async def asked(conn: AsyncConnection, asked_id: int) -> Asked | None:
    row = (await conn.execute(select(confidences).where(confidences.c.id == asked_id))).first()
    return None if row is None else _asked(row)


async def asked_of(conn: AsyncConnection, family_id: str, carer_id: str) -> list[Asked]:
    """Return all questions to one carer, the oldest first."""
    rows = await conn.execute(
        select(confidences)
        .where(confidences.c.family_id == family_id, confidences.c.carer_id == carer_id)
        .order_by(confidences.c.asked_at, confidences.c.id)
    )
    return [_asked(row) for row in rows]


async def answer(conn: AsyncConnection, asked_id: int, value: int | None, now: datetime) -> None:
    """Keep the answer; a later tap on the same ruler replaces it."""
    await conn.execute(update(confidences).where(confidences.c.id == asked_id).values(value=value, at=now))
