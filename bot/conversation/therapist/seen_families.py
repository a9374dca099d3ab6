"""Which families a therapist may see and change: their own, and those of a colleague whom they cover now."""

from __future__ import annotations

from bot.conversation.desk import Desk
from bot.conversation.therapist import covering
from bot.conversation.therapist.own_families import named
from bot.records.people import Family, Therapist


async def families_seen_by(desk: Desk, therapist: Therapist) -> list[Family]:
    """Return the families of a therapist, then those that they cover; discharged ones left out."""
    found = await covering.families_seen(desk, therapist)
    return [family for family in found if family.state != "discharged"]


async def family_seen_by(desk: Desk, therapist: Therapist, family_id: str) -> Family | None:
    """Return a family where this therapist may see it, else None, as for one that does not exist."""
    return next((each for each in await families_seen_by(desk, therapist) if each.id == family_id), None)


async def families_named(desk: Desk, therapist: Therapist, said: str) -> list[Family]:
    """Return the families whose nickname or id is `said`, else those whose nickname begins with it."""
    return named(await families_seen_by(desk, therapist), said)
