"""Who hears of a family: its therapist, a colleague who covers while they are away, others where nobody can be reached."""

from __future__ import annotations

from datetime import date

from bot.domain.concerns import Circle
from bot.domain.ids import FamilyId, TherapistId
from bot.domain.people import Family, Therapist
from bot.features.context import Context


def clinic_day(context: Context) -> date:
    """Return today's date where the clinic is: cover begins and ends with its days."""
    return context.now.astimezone(context.clinic.zone).date()


def cover_of(context: Context, therapist: Therapist) -> Therapist | None:
    """Return who covers for a therapist today."""
    cover_id = therapist.cover_on(clinic_day(context))
    return None if cover_id is None else context.uow.therapists.find(cover_id)


def covered_by(context: Context, therapist: Therapist) -> list[Therapist]:
    """Return the colleagues whom a therapist covers for today."""
    today = clinic_day(context)
    return [each for each in context.uow.therapists.all() if each.cover_on(today) == therapist.id != each.id]


def families_seen(context: Context, therapist: Therapist) -> list[Family]:
    """Return the families that a therapist may see: their own, then those covered."""
    families = context.uow.families.of_therapist(therapist.id)
    for away in covered_by(context, therapist):
        families += context.uow.families.of_therapist(away.id)
    return families


def may_see(context: Context, therapist: Therapist, family_id: FamilyId) -> bool:
    """Say whether a family is a therapist's own or covered by them today."""
    family = context.uow.families.find(family_id)
    if family is None:
        return False
    if family.therapist_id == therapist.id:
        return True
    keeper = context.uow.therapists.find(family.therapist_id)
    return keeper is not None and keeper.cover_on(clinic_day(context)) == therapist.id


def listeners(context: Context, therapist_id: TherapistId) -> list[Therapist]:
    """Return who is told what a family says: who covers first, then its own therapist."""
    therapist = context.uow.therapists.find(therapist_id)
    if therapist is None:
        return []
    cover = cover_of(context, therapist)
    return [therapist] if cover is None else [cover, therapist]


def concern_listeners(context: Context, therapist_id: TherapistId, circle: Circle = "own") -> list[Therapist]:
    """Return who is told a concern and can be reached, who answers for the family first.

    Where nobody of the circle can be reached, every therapist who can.
    """
    own = [each for each in listeners(context, therapist_id) if each.reachable]
    everyone = [each for each in context.uow.therapists.all() if each.reachable]
    if circle == "clinic" or not own:
        return own + [each for each in everyone if each not in own]
    if circle == "cover":
        keeper = context.uow.therapists.find(therapist_id)
        named = keeper.covered_by if keeper else None
        return own + [each for each in everyone if each.id == named and each not in own]
    return own
