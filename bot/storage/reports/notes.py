"""What else happened to a family, for the digest's notes: who came and went, fewer reminders, silence."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from sqlalchemy import select

from bot.digest.facts import NoteFact, NoteKind
from bot.domain.actor import Actor
from bot.domain.notes import Note
from bot.domain.people import Family
from bot.storage.tables import audit, visits
from bot.storage.unit_of_work import UnitOfWork

CAME_AND_WENT: Mapping[str, NoteKind] = {"consented": "joined", "left": "left", "declined": "left"}
"""What the audit calls it, and the kind of note that tells it."""
LOAD_KINDS: tuple[NoteKind, ...] = ("load_asked", "load_fewer", "load_more")


def notes_between(
    uow: UnitOfWork, family: Family, names: Mapping[str, str], start: datetime, end: datetime
) -> tuple[NoteFact, ...]:
    """Return the notes of [start, end). names: the carers' by id."""
    return (
        *_came_and_went(uow, family, names, start, end),
        *_by_itself(uow, family, start, end),
        *_visit_notes(uow, family, start, end),
    )


def _came_and_went(
    uow: UnitOfWork, family: Family, names: Mapping[str, str], start: datetime, end: datetime
) -> list[NoteFact]:
    rows = uow.conn.execute(
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
    carer_id = Actor.from_stored(who).id
    return names.get(carer_id, carer_id)


def _by_itself(uow: UnitOfWork, family: Family, start: datetime, end: datetime) -> list[NoteFact]:
    """Tell what the bot did by itself: fewer or more reminders (steps of one kind in one note), word of a silence."""
    found = uow.notes.between(family.id, start, end)
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


def _load_kind(note: Note) -> NoteKind:
    if note.data["asked"]:
        return "load_asked"
    return "load_fewer" if note.data["after"] < note.data["before"] else "load_more"


def _visit_notes(uow: UnitOfWork, family: Family, start: datetime, end: datetime) -> list[NoteFact]:
    """Return the therapist's own notes on visits that they made in the period."""
    rows = uow.conn.execute(
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
