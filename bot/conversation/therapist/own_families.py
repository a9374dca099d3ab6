"""Which families a therapist may see: their own, and those of a colleague whom they cover for. By name or by button."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Callable, Sequence

from bot.conversation.desk import Desk
from bot.conversation.therapist import covering
from bot.records.people import Family, Therapist
from bot.say import Button, Buttons

MOST_BUTTONS = 90  # the messaging service takes 100 under one message
LONGEST_REF = 24  # bytes; a button's data holds 64


def ref_of(family_id: str) -> str:
    """Return what names a family in a button: its id, or a short mark of it where the id is long."""
    if len(family_id.encode()) <= LONGEST_REF and not family_id.startswith("#") and ":" not in family_id:
        return family_id
    return "#" + hashlib.sha256(family_id.encode()).hexdigest()[:12]


async def families_seen_by(desk: Desk, therapist: Therapist) -> list[Family]:
    """Return the families that a therapist may see, discharged ones included."""
    return await covering.families_seen(desk, therapist)


async def family_by_ref(desk: Desk, therapist: Therapist, ref: str) -> Family | None:
    """Return the family that a button names; None where this therapist may not see it."""
    return next((each for each in await families_seen_by(desk, therapist) if ref_of(each.id) == ref), None)


async def families_named(desk: Desk, therapist: Therapist, name: str) -> list[Family]:
    """Return the families that a name or id means: by the whole of it, else by its beginning. Empty for no name."""
    return named(await families_seen_by(desk, therapist), name)


def named(families: Sequence[Family], name: str) -> list[Family]:
    """Return those of `families` that a name or id means: by the whole of it, else by its beginning."""
    wanted = name.strip().casefold()
    whole = [each for each in families if wanted in (each.nickname.casefold(), each.id.casefold())]
    begun = [each for each in families if wanted and each.nickname.casefold().startswith(wanted)]
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


async def family_at_front(desk: Desk, therapist: Therapist, text: str) -> tuple[list[Family], str]:
    """Return the families that the first words of a text name, and the words after the name.

    A nickname may have several words; the longest name that fits counts.
    """
    parts = text.split()
    for count in range(len(parts), 0, -1):
        found = await families_named(desk, therapist, " ".join(parts[:count]))
        if found:
            return found, text.split(maxsplit=count)[count] if count < len(parts) else ""
    return [], text.strip()
