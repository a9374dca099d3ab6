"""The families that a therapist may see, found by a name, an id, a button or the first words of a line."""

from __future__ import annotations

from collections.abc import Sequence

from bot.domain.names import folded
from bot.domain.people import Family, Therapist
from bot.features.access import access
from bot.features.buttons import ref_of
from bot.features.context import Context


def families_seen(context: Context, therapist: Therapist, *, discharged: bool = False) -> list[Family]:
    """Return the families that a therapist may see, those discharged only where they are wanted."""
    families = access.families_seen(context, therapist)
    return families if discharged else [family for family in families if family.state != "discharged"]


def family_by_ref(
    context: Context, therapist: Therapist, ref: str, *, discharged: bool = True
) -> Family | None:
    """Return the family that a button names; None where this therapist may not see it, as for one that is none."""
    families = families_seen(context, therapist, discharged=discharged)
    return next((each for each in families if ref in (each.id, ref_of(each.id))), None)


def matching(context: Context, families: Sequence[Family], wanted: str) -> list[Family]:
    """Return those of `families` that words name, whatever their case and accents; all of them for no words.

    A nickname or an id that is named whole counts alone. Else a nickname counts that has a word with this beginning,
    and where there is none, a carer's name that has one.
    """
    sought = folded(wanted)
    if not sought:
        return list(families)
    whole = [each for each in families if sought in (folded(each.nickname), folded(each.id))]
    begun = [each for each in families if _begins(each.nickname, sought)]
    return whole or begun or [each for each in families if _carer_begins(context, each, sought)]


def _begins(name: str, sought: str) -> bool:
    return f" {sought}" in f" {folded(name)}"


def _carer_begins(context: Context, family: Family, sought: str) -> bool:
    return any(_begins(carer.name, sought) for carer in context.uow.carers.of_family(family.id))


def family_at_front(context: Context, families: Sequence[Family], text: str) -> tuple[list[Family], str]:
    """Return those of `families` that the first words of a text name, and the words after the name.

    A name may have several words; the longest that fits counts.
    """
    parts = text.split()
    for count in range(len(parts), 0, -1):
        found = matching(context, families, " ".join(parts[:count]))
        if found:
            return found, text.split(maxsplit=count)[count] if count < len(parts) else ""
    return [], text.strip()
