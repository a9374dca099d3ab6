"""Plans that a therapist is building and has not sent: one a therapist and family, kept until sent or thrown away."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Row, delete, insert, select, update
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.records.tables import plan_drafts
from scheduling.plan import Plan, document_of, plan_from


@dataclass(frozen=True, slots=True)
class Draft:
    """base_version: the version that was in force when the draft was begun."""

    id: int
    therapist_id: str
    family_id: str
    plan: Plan
    base_version: int


def _draft(row: Row[Any] | None) -> Draft | None:
    if row is None:
        return None
    return Draft(row.id, row.therapist_id, row.family_id, plan_from(row.document), row.base_version)


async def draft(conn: AsyncConnection, draft_id: int) -> Draft | None:
    return _draft((await conn.execute(select(plan_drafts).where(plan_drafts.c.id == draft_id))).first())


async def draft_for(conn: AsyncConnection, therapist_id: str, family_id: str) -> Draft | None:
    found = await conn.execute(
        select(plan_drafts).where(
            plan_drafts.c.therapist_id == therapist_id, plan_drafts.c.family_id == family_id
        )
    )
    return _draft(found.first())


async def begin(
    conn: AsyncConnection, therapist_id: str, family_id: str, plan: Plan, base_version: int, now: datetime
) -> int:
    """Begin a draft as a copy of the plan in force; return its number."""
    made = await conn.execute(
        insert(plan_drafts).values(
            therapist_id=therapist_id,
            family_id=family_id,
            document=document_of(plan),
            base_version=base_version,
            changed_at=now,
        )
    )
    key = made.inserted_primary_key
    assert key is not None
    return int(key[0])


async def change(
    conn: AsyncConnection, draft_id: int, plan: Plan, now: datetime, *, base_version: int | None = None
) -> None:
    values: dict[str, Any] = {"document": document_of(plan), "changed_at": now}
    if base_version is not None:
        values["base_version"] = base_version
    await conn.execute(update(plan_drafts).where(plan_drafts.c.id == draft_id).values(**values))


async def drop(conn: AsyncConnection, draft_id: int) -> None:
    await conn.execute(delete(plan_drafts).where(plan_drafts.c.id == draft_id))
