"""What else happened to a family, for the digest's notes: who came and went, fewer reminders, silence."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncConnection

from bot.digest.facts import NoteFact, NoteKind
from bot.records import notes
from bot.records.people import Family
from bot.records.tables import audit, visits

CAME_AND_WENT: Mapping[str, NoteKind] = {"consented": "joined", "left": "left", "declined": "left"}
"""What the audit calls it, and the kind of note that tells it."""
LOAD_KINDS: tuple[NoteKind, ...] = ("load_asked", "load_fewer", "load_more")


async def notes_between(
    conn: AsyncConnection, family: Family, names: Mapping[str, str], start: datetime, end: datetime
) -> tuple[NoteFact, ...]:
    """Return the notes of [start, end). names: the carers' by id."""
    return (
        *await _came_and_went(conn, family, names, start, end),
        *await _by_itself(conn, family, start, end),
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


async def _by_itself(conn: AsyncConnection, family: Family, start: datetime, end: datetime) -> list[NoteFact]:
    """Tell what the bot did by itself: fewer or more reminders (steps of one kind in one note), word of a silence."""
    found = await notes.between(conn, family.id, start, end)
    told: list[NoteFact] = []
    for kind in LOAD_KINDS:
        steps = [note for note in found if note.kind == "load" and _load_kind(note) == kind]
        if steps:
            values = {"before": steps[0].data["before"], "after": steps[-1].data["after"]}
            told.append(NoteFact(family.local(steps[-1].at), kind=kind, values=values))
    return told + [
        NoteFact(family.local(note.at), kind="quiet", values={"n": note.data["days"]})
        for note in found
        if note.kind == "quiet"
    ]


def _load_kind(note: notes.Note) -> NoteKind:
    if note.data["asked"]:
        return "load_asked"
    return "load_fewer" if note.data["after"] < note.data["before"] else "load_more"


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
