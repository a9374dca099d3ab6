"""What else happened to a family, for the digest's notes: who came and went, fewer reminders, silence."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.digest.facts import NoteFact, NoteKind
from bot.records.people import Family
from bot.records.tables import audit, families, visits

CAME_AND_WENT: Mapping[str, NoteKind] = {"consented": "joined", "left": "left", "declined": "left"}
"""What the audit calls it, and the kind of note that tells it."""


async def notes_between(
    conn: AsyncConnection,
    family: Family,
    names: Mapping[str, str],
    most_prompts: int,
    dates: tuple[date, date],
    period: tuple[datetime, datetime],
) -> tuple[NoteFact, ...]:
    """Return the notes of a period [start, end) that touches the local dates `dates`, both included.

    names: the carers' by id. most_prompts: what the plan allows a day.
    """
    start, end = period
    return (
        *await _came_and_went(conn, family, names, start, end),
        *await _quiet(conn, family, most_prompts, dates, period),
        *await _visit_notes(conn, family, start, end),
    )


async def _came_and_went(
    conn: AsyncConnection, family: Family, names: Mapping[str, str], start: datetime, end: datetime
) -> list[NoteFact]:
    rows = await conn.execute(
        select(audit.c.at, audit.c.who, audit.c.what)
        .where(
            audit.c.family_id == family.id,
            audit.c.what.in_(CAME_AND_WENT),
            audit.c.who.like("carer:%"),
            audit.c.at >= start,
            audit.c.at < end,
        )
        .order_by(audit.c.id)
    )
    return [
        NoteFact(family.local(row.at), kind=CAME_AND_WENT[row.what], values={"carer": _name(row.who, names)})
        for row in rows
    ]


def _name(who: str, names: Mapping[str, str]) -> str:
    carer_id = who.rpartition("/")[2]
    return names.get(carer_id, carer_id)


async def _quiet(
    conn: AsyncConnection,
    family: Family,
    most_prompts: int,
    dates: tuple[date, date],
    period: tuple[datetime, datetime],
) -> list[NoteFact]:
    """Tell what silence led to: fewer reminders, one kind note, word to the therapist."""
    row = (await conn.execute(select(families).where(families.c.id == family.id))).one()
    found: list[NoteFact] = []
    (first, last), (start, end) = dates, period
    # The budget is weighed day by day; only its present state is kept, so only a period of now can tell it.
    weighed_now = row.budget_on is not None and first <= row.budget_on <= last
    if weighed_now and row.budget is not None and row.budget < most_prompts:
        values = {"n": row.budget, "of": most_prompts}
        found.append(NoteFact(family.local(end), kind="fewer_reminders", values=values))
    told: tuple[tuple[NoteKind, datetime | None], ...] = (
        ("kind_note", row.kind_note_at),
        ("silence_told", row.silence_told_at),
    )
    return found + [
        NoteFact(family.local(at), kind=kind) for kind, at in told if at is not None and start <= at < end
    ]


async def _visit_notes(
    conn: AsyncConnection, family: Family, start: datetime, end: datetime
) -> list[NoteFact]:
    """Return the therapist's own notes on visits that they made in the period."""
    rows = await conn.execute(
        select(visits.c.at, visits.c.note)
        .where(
            visits.c.family_id == family.id,
            visits.c.note.is_not(None),
            visits.c.cancelled_at.is_(None),
            visits.c.at >= start,
            visits.c.at < end,
        )
        .order_by(visits.c.at)
    )
    return [NoteFact(family.local(row.at), row.note, "visit_note") for row in rows]
