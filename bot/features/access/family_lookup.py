"""Which families a therapist may see: their own, and those of a colleague whom they cover for. By name or by button."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Callable, Sequence

from bot.domain.names import folded
from bot.domain.outgoing import Button, Buttons
from bot.domain.people import Family, Therapist
from bot.features.access import access
from bot.features.context import Context

MOST_BUTTONS = 90  # the messaging service takes 100 under one message
LONGEST_REF = 24  # bytes; a button's data holds 64


def ref_of(family_id: str) -> str:
    """Return what names a family in a button: its id, or a short mark of it where the id is long."""
    if len(family_id.encode()) <= LONGEST_REF and not family_id.startswith("#") and ":" not in family_id:
        return family_id
    return "#" + hashlib.sha256(family_id.encode()).hexdigest()[:12]


def families_seen_by(context: Context, therapist: Therapist) -> list[Family]:
    """Return the families that a therapist may see, discharged ones included."""
    return access.families_seen(context, therapist)


def current_families(context: Context, therapist: Therapist) -> list[Family]:
    """Return the families that a therapist may see, discharged ones left out."""
    return [family for family in families_seen_by(context, therapist) if family.state != "discharged"]


def current_family(context: Context, therapist: Therapist, family_id: str) -> Family | None:
    """Return a current family where this therapist may see it, else None, as for one that does not exist."""
    return next((each for each in current_families(context, therapist) if each.id == family_id), None)


def family_by_ref(context: Context, therapist: Therapist, ref: str) -> Family | None:
    """Return the family that a button names; None where this therapist may not see it."""
    return next((each for each in families_seen_by(context, therapist) if ref_of(each.id) == ref), None)


def families_named(context: Context, therapist: Therapist, name: str) -> list[Family]:
    """Return the families that a name or id means: by the whole of it, else by its beginning. Empty for no name."""
    return named(families_seen_by(context, therapist), name)


def named(families: Sequence[Family], name: str) -> list[Family]:
    """Return those of `families` that a name or id means: by the whole of it, else by its beginning."""
    wanted = folded(name)
    whole = [each for each in families if wanted in (folded(each.nickname), folded(each.id))]
    begun = [each for each in families if wanted and folded(each.nickname).startswith(wanted)]
    return whole or begun


def choices(families: Sequence[Family], data: Callable[[Family], str]) -> Buttons:
    """Return a button a family, two a row: the nickname, with the id where two share one."""
    counts = Counter(each.nickname for each in families)
    buttons = [
        Button(
            (each.nickname if counts[each.nickname] == 1 else f"{each.nickname[:12]} ({each.id})")[:24],
            data(each),
        )
        for each in families[:MOST_BUTTONS]
    ]
    return tuple(tuple(buttons[i : i + 2]) for i in range(0, len(buttons), 2))


def family_at_front(context: Context, therapist: Therapist, text: str) -> tuple[list[Family], str]:
    """Return the families that the first words of a text name, and the words after the name.

    A nickname may have several words; the longest name that fits counts.
    """
    parts = text.split()
    for count in range(len(parts), 0, -1):
        found = families_named(context, therapist, " ".join(parts[:count]))
        if found:
            return found, text.split(maxsplit=count)[count] if count < len(parts) else ""
    return [], text.strip()
