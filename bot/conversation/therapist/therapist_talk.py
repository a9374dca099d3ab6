"""Small things that every part of a therapist's chat needs: saying, changing what was said, choosing a family."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence

from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.names import folded
from bot.conversation.therapist import covering
from bot.phrases import words_for
from bot.records import outbox, people
from bot.records.people import Carer, Family, Therapist
from bot.say import Button, Buttons, Say, row

Act = Callable[[Desk, Incoming, Therapist, str], Awaitable[None]]
"""What a command, a button or a step of a talk does; the string is what follows the command or the verb."""

MOST_CHOICES = 12
LONGEST_LABEL = 24


async def say(
    desk: Desk, incoming: Incoming, text: str, buttons: Buttons = (), *, about: str | None = None
) -> int | None:
    return await desk.say(Say(chat_id=incoming.chat_id, text=text, buttons=buttons, about=about))


async def edit_pressed(desk: Desk, incoming: Incoming, text: str, buttons: Buttons = ()) -> None:
    """Change the message under which a button was pressed."""
    if incoming.message_id is None:
        return
    said = await outbox.said_as(desk.conn, incoming.chat_id, incoming.message_id)
    if said is not None:
        await desk.say(Say(chat_id=incoming.chat_id, text=text, buttons=buttons, edits=said.id))


async def seen_family(desk: Desk, incoming: Incoming, therapist: Therapist, family_id: str) -> Family | None:
    """Return a family that this therapist may see; otherwise say that there is none, and nothing more."""
    if await covering.may_see(desk, therapist, family_id):
        return await people.family(desk.conn, family_id)
    await say(desk, incoming, words_for(therapist.language)("therapist.not_yours"))
    return None


async def own_family(desk: Desk, incoming: Incoming, therapist: Therapist, family_id: str) -> Family | None:
    """Return a family of this therapist's own: a cover neither discharges nor hands over."""
    family = await seen_family(desk, incoming, therapist, family_id)
    if family is None or family.therapist_id == therapist.id:
        return family
    await say(desk, incoming, words_for(therapist.language)("therapist.only_own"))
    return None


async def chosen_family(
    desk: Desk, incoming: Incoming, therapist: Therapist, wanted: str, verb: str
) -> Family | None:
    """Return the one family that `wanted` names; otherwise offer those that fit, as buttons "verb:family"."""
    families = [
        family for family in await covering.families_seen(desk, therapist) if family.state != "discharged"
    ]
    fitting = await matching(desk, families, wanted)
    words = words_for(therapist.language)
    if len(fitting) == 1:
        return fitting[0]
    if not fitting:
        key = "therapist.none_found" if families else "therapist.no_families"
        await say(desk, incoming, words(key, name=wanted.strip()) if families else words(key))
        return None
    if len(fitting) > MOST_CHOICES:
        await say(desk, incoming, words("therapist.too_many", n=len(fitting)))
        return None
    await say(desk, incoming, words("therapist.which_family"), family_buttons(fitting, verb))
    return None


def family_buttons(families: Sequence[Family], verb: str) -> Buttons:
    """Return buttons that name families, two in a row; the id tells two of one name apart."""
    names = [family.nickname for family in families]
    buttons = [
        Button(
            short(family.nickname if names.count(family.nickname) == 1 else f"{family.nickname} {family.id}"),
            f"{verb}:{family.id}",
        )
        for family in families
    ]
    return tuple(row(*buttons[i : i + 2]) for i in range(0, len(buttons), 2))


def short(label: str) -> str:
    """Return a label that fits on a button."""
    return label if len(label) <= LONGEST_LABEL else label[: LONGEST_LABEL - 1] + "…"


async def matching(desk: Desk, families: Sequence[Family], wanted: str) -> list[Family]:
    """Return the families whose nickname, id or carers' names hold the words; an exact nickname alone where one is."""
    sought = folded(wanted)
    if not sought:
        return list(families)
    exact = [family for family in families if sought in (folded(family.nickname), folded(family.id))]
    if exact:
        return exact
    found = []
    for family in families:
        carers: list[Carer] = await people.carers_of(desk.conn, family.id)
        if any(sought in folded(name) for name in (family.nickname, *(carer.name for carer in carers))):
            found.append(family)
    return found
