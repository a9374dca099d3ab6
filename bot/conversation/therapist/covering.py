"""Who hears of a family: its therapist, a colleague who covers while they are away, others where nobody can be reached."""

from __future__ import annotations

from datetime import date

from bot.conversation.desk import Desk
from bot.records import people
from bot.records.people import Family, Therapist


def clinic_day(desk: Desk) -> date:
    """Return today's date where the clinic is: cover begins and ends with its days."""
    return desk.now.astimezone(desk.clinic.zone).date()


async def cover_of(desk: Desk, therapist: Therapist) -> Therapist | None:
    """Return who covers for a therapist today."""
    cover_id = therapist.cover_on(clinic_day(desk))
    return None if cover_id is None else await people.therapist(desk.conn, cover_id)


async def covered_by(desk: Desk, therapist: Therapist) -> list[Therapist]:
    """Return the colleagues whom a therapist covers for today."""
    today = clinic_day(desk)
    return [
        each
        for each in await people.all_therapists(desk.conn)
        if each.cover_on(today) == therapist.id != each.id
    ]


async def families_seen(desk: Desk, therapist: Therapist) -> list[Family]:
    """Return the families that a therapist may see: their own, then those covered."""
    families = await people.families_of(desk.conn, therapist.id)
    for away in await covered_by(desk, therapist):
        families += await people.families_of(desk.conn, away.id)
    return families


async def may_see(desk: Desk, therapist: Therapist, family_id: str) -> bool:
    """Say whether a family is a therapist's own or covered by them today."""
    family = await people.family(desk.conn, family_id)
    if family is None:
        return False
    if family.therapist_id == therapist.id:
        return True
    keeper = await people.therapist(desk.conn, family.therapist_id)
    return keeper is not None and keeper.cover_on(clinic_day(desk)) == therapist.id


async def listeners(desk: Desk, therapist_id: str) -> list[Therapist]:
    """Return who is told what a family says: who covers first, then its own therapist."""
    therapist = await people.therapist(desk.conn, therapist_id)
    if therapist is None:
        return []
    cover = await cover_of(desk, therapist)
    return [therapist] if cover is None else [cover, therapist]


async def worry_listeners(desk: Desk, therapist_id: str) -> list[Therapist]:
    """Return who is told a worry: those who listen and can be reached; where none can, every other therapist who can."""
    reached = [each for each in await listeners(desk, therapist_id) if each.reachable]
    if reached:
        return reached
    return [each for each in await people.all_therapists(desk.conn) if each.reachable]
