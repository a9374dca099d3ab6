"""What is decided about who comes in and who goes: invitations, joining, groups, the end of somebody's part. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, Protocol, TypeVar

from bot.domain.ids import FamilyId
from bot.domain.invitations import Invitation
from bot.domain.names import folded
from bot.domain.people import Carer, Family, Therapist
from bot.domain.roles import UNASKED, is_day_care, is_group
from bot.parsing.answers import says_no, says_yes
from bot.phrases import Language

LONGEST_NAME = 40  # characters
IN_GROUPS = {"/today", "/howto", "/help", "/start", "/pause", "/resume"}


# ---------------------------------------------------------------- inviting


class Named(Protocol):
    @property
    def name(self) -> str: ...


Person = TypeVar("Person", bound=Named)


def name_written(text: str) -> str | None:
    """Return a name as written, spaces tidied; None where it is empty or too long to be one."""
    name = " ".join(text.split())
    return name if 1 <= len(name) <= LONGEST_NAME else None


def of_the_name(people: Sequence[Person], name: str) -> list[Person]:
    """Return those who bear a name, accents and capitals aside: the same person invited again, or another of that name."""
    return [each for each in people if folded(each.name) == folded(name)]


def taking_part(carers: Sequence[Carer]) -> list[Carer]:
    """Return the people of a family who have not left; a group chat is no person."""
    return [each for each in carers if each.state != "left" and not is_group(each)]


def may_be_invited_again(carers: Sequence[Carer]) -> list[Carer]:
    """Return those whose place waits: their invitation was lost or never used, or they left."""
    return [each for each in carers if each.state != "active"]


# ---------------------------------------------------------------- a code is used


@dataclass(frozen=True, slots=True)
class Place:
    """Whether a chat may take an invitation. released: carers who left in this chat and whose tie to it ends."""

    taken: bool
    released: tuple[Carer, ...] = ()


def place_of(
    invitation: Invitation, therapist: Therapist | None, here: Sequence[Carer], left: Sequence[Carer]
) -> Place:
    """Say whether a chat is somebody else's place already: the words of two people must never cross.

    therapist, here, left: who this chat is, and was before they left. A carer may have a place in several families, but
    is one person in each.
    """
    if invitation.therapist_id is not None:
        other = therapist is not None and therapist.id != invitation.therapist_id
        return Place(taken=bool(here) or other)
    if therapist is not None:
        return Place(taken=True)

    def another(carer: Carer) -> bool:
        return carer.family_id == invitation.family_id and carer.id != invitation.carer_id

    return Place(
        taken=any(another(each) and each.state != "left" for each in here),
        released=tuple(each for each in left if another(each)),
    )


def first_language(phone: str, invited: Carer, already: Sequence[Carer]) -> Language:
    """Return the language in which a talk begins: that of this chat, else Spanish where phone or invitation is Spanish."""
    if already:
        return already[0].language
    return "es" if phone.startswith("es") else invited.language


def other_language(language: str) -> Language:
    return "en" if language == "es" else "es"


# ---------------------------------------------------------------- until the yes


JoiningStep = Literal["named", "agreed", "declined", "ask_name", "ask_who", "ask_consent"]


def joining_step(step: str | None, known: Mapping[str, object], carer: Carer, typed: str = "") -> JoiningStep:
    """Return what follows for one who has not agreed yet. step, known: of their dialog; typed: what they wrote, if anything.

    Who they are is asked where their therapist did not say it.
    """
    if step == "name" and not typed.startswith("/") and name_written(typed) is not None:
        return "named"
    if step == "consent" and says_yes(typed):
        return "agreed"
    if step == "consent" and says_no(typed):
        return "declined"
    if step == "name":
        return "ask_name"
    return "ask_who" if carer.role == UNASKED and "role" not in known else "ask_consent"


# ---------------------------------------------------------------- groups


def seats_group(carers: Sequence[Carer], families: Mapping[FamilyId, Family]) -> Carer | None:
    """Return for which of the places of whoever brought the bot into a group it becomes that family's; None: for none.

    Day care brings nobody in: what a group reads is the family's.
    """
    return next(
        (
            each
            for each in carers
            if each.state == "active"
            and not is_day_care(each)
            and (family := families.get(each.family_id)) is not None
            and family.group_allowed
        ),
        None,
    )


GroupTurn = Literal["not_for_us", "not_joined", "in_private", "taken"]


def turn_in_group(speaker: Carer | None, command: str | None, *, for_us: bool) -> GroupTurn:
    """Say what becomes of something done in a family's group. speaker: whose own chat is of the family; for_us: a command, a tap or a reply.

    The others never agreed that their words are kept; what concerns one person alone stays in the private chat.
    """
    if not for_us:
        return "not_for_us"
    if speaker is None:
        return "not_joined"
    return "in_private" if command is not None and command not in IN_GROUPS else "taken"
