"""What else happened to a family, for the digest's notes: who came and went, fewer reminders, silence, visits."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Row

from bot.digest.facts import NoteFact, NoteKind
from bot.domain.actor import Actor
from bot.domain.people import Family
from bot.storage.reports.rows import FamilyRows, within

CAME_AND_WENT: Mapping[str, NoteKind] = {"consented": "joined", "left": "left", "declined": "left"}
"""What the audit calls it, and the kind of note that tells it."""
LOAD_KINDS: tuple[NoteKind, ...] = ("load_asked", "load_fewer", "load_more")


def notes_between(family: Family, rows: FamilyRows, start: datetime, end: datetime) -> tuple[NoteFact, ...]:
    """Return the notes of [start, end)."""
    return (
        *_came_and_went(family, rows, start, end),
        *_by_itself(family, rows, start, end),
        *_visit_notes(family, rows, start, end),
    )


def pauses_until(rows: FamilyRows, until: datetime) -> list[tuple[datetime, datetime | None]]:
    """Return from when to when reminders were paused, as known at `until`; None: with no end."""
    found: list[tuple[datetime, datetime | None]] = []
    for row in rows.notes:
        if row.kind not in ("pause", "resume") or row.at >= until:
            continue
        if found and (found[-1][1] is None or found[-1][1] > row.at):
            found[-1] = (found[-1][0], row.at)  # another length, or an end by word
        if row.kind == "pause":
            seconds = row.data["until"]
            found.append((row.at, datetime.fromtimestamp(seconds, UTC) if seconds else None))
    return found


def _came_and_went(family: Family, rows: FamilyRows, start: datetime, end: datetime) -> list[NoteFact]:
    return [
        NoteFact(
            family.local(row.at), kind=CAME_AND_WENT[row.what], values={"carer": _name(row.who, rows.names)}
        )
        for row in within(rows.came_and_went, start, end)
    ]


def _name(who: str, names: Mapping[str, str]) -> str:
    carer_id = Actor.from_stored(who).id
    return names.get(carer_id, carer_id)


def _by_itself(family: Family, rows: FamilyRows, start: datetime, end: datetime) -> list[NoteFact]:
    """Tell what the bot did by itself: fewer or more reminders (steps of one kind in one note), word of a silence, what was held."""
    found = within(rows.notes, start, end)
    told: list[NoteFact] = []
    for kind in LOAD_KINDS:
        steps = [note for note in found if note.kind == "load" and _load_kind(note) == kind]
        if steps:
            values = {"before": steps[0].data["before"], "after": steps[-1].data["after"]}
            told.append(NoteFact(family.local(steps[-1].at), kind=kind, values=values))
    return (
        told
        + [
            NoteFact(family.local(note.at), kind="quiet", values={"n": note.data["days"]})
            for note in found
            if note.kind == "quiet"
        ]
        + [
            NoteFact(family.local(note.at), kind=note.kind, values={"n": note.data["n"]})
            for note in found
            if note.kind in ("held", "go_on")
        ]
        + [
            NoteFact(family.local(note.at), kind="best_hour", values=dict(note.data))
            for note in [each for each in found if each.kind == "best_hour"][-1:]
        ]
    )


def _load_kind(note: Row[Any]) -> NoteKind:
    if note.data["asked"]:
        return "load_asked"
    return "load_fewer" if note.data["after"] < note.data["before"] else "load_more"


def _visit_notes(family: Family, rows: FamilyRows, start: datetime, end: datetime) -> list[NoteFact]:
    """Return the therapist's own notes on visits that they made in the period."""
    return [
        NoteFact(family.local(row.at), row.note, "visit_note")
        for row in within(rows.visits, start, end)
        if row.note is not None
    ]
