"""Versions of a family's plan: which the family was told of, and which it was not."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.day import PlanVersion, plan_versions
from bot.records.tables import families, plans
from scheduling.plan import Plan


@dataclass(frozen=True, slots=True)
class Untold:
    """The newest version, that the family was not told of, and the plan it knows. made_by: of the newest."""

    version: int
    before: Plan
    after: Plan
    made_by: str | None
    note: str | None


async def versions(conn: AsyncConnection, family_id: str) -> list[PlanVersion]:
    """Return all versions, the oldest first."""
    return await plan_versions(conn, family_id)


async def untold_families(conn: AsyncConnection, *, limit: int) -> list[str]:
    """Return families that are active and were not told of a version of their plan but the first."""
    rows = await conn.scalars(
        select(plans.c.family_id)
        .join(families, families.c.id == plans.c.family_id)
        .where(plans.c.told_at.is_(None), plans.c.version > 1, families.c.state == "active")
        .distinct()
        .order_by(plans.c.family_id)
        .limit(limit)
    )
    return list(rows.all())


async def untold(conn: AsyncConnection, family_id: str) -> Untold | None:
    """Return what a family must be told; the first version counts as known."""
    told = set(
        (
            await conn.scalars(
                select(plans.c.version).where(plans.c.family_id == family_id, plans.c.told_at.is_not(None))
            )
        ).all()
    )
    all_versions = await versions(conn, family_id)
    if not all_versions or all_versions[-1].version == 1 or all_versions[-1].version in told:
        return None
    known = [each for each in all_versions if each.version == 1 or each.version in told]
    newest = all_versions[-1]
    return Untold(newest.version, known[-1].plan, newest.plan, newest.made_by, newest.note)


async def mark_told(conn: AsyncConnection, family_id: str, now: datetime) -> None:
    """Note that a family knows every version up to now."""
    await conn.execute(
        update(plans).where(plans.c.family_id == family_id, plans.c.told_at.is_(None)).values(told_at=now)
    )


async def set_note(conn: AsyncConnection, family_id: str, version: int, note: str) -> None:
    """Keep in words what a version changed, for the digest and the list of versions."""
    await conn.execute(
        update(plans).where(plans.c.family_id == family_id, plans.c.version == version).values(note=note)
    )
