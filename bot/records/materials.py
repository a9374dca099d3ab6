"""The therapist's own photos, clips and voice notes for one family's holds."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from sqlalchemy import insert, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.rows import new_id
from bot.records.tables import materials


@dataclass(frozen=True, slots=True)
class Material:
    id: int
    kind: Literal["picture", "video", "voice"]
    file_id: str
    caption: str | None


async def of_activity(conn: AsyncConnection, family_id: str, activity: str) -> list[Material]:
    """Return what is in force for one hold of one family, the oldest first."""
    rows = await conn.execute(
        select(materials)
        .where(
            materials.c.family_id == family_id,
            materials.c.activity == activity,
            materials.c.withdrawn_at.is_(None),
        )
        .order_by(materials.c.id)
    )
    return [Material(row.id, row.kind, row.file_id, row.caption) for row in rows]


async def add(
    conn: AsyncConnection,
    *,
    family_id: str,
    activity: str,
    kind: str,
    file_id: str,
    caption: str | None,
    added_by: str,
    now: datetime,
) -> int:
    inserted = await conn.execute(
        insert(materials).values(
            family_id=family_id,
            activity=activity,
            kind=kind,
            file_id=file_id,
            caption=caption,
            added_by=added_by,
            added_at=now,
        )
    )
    return new_id(inserted)


async def withdraw(conn: AsyncConnection, material_id: int, now: datetime) -> None:
    await conn.execute(update(materials).where(materials.c.id == material_id).values(withdrawn_at=now))
