"""Small things that every part of a therapist's chat needs: saying, changing what was said, choosing a family."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bot.domain.names import folded
from bot.domain.outgoing import Button, Buttons, OutgoingMessage, row
from bot.domain.people import Carer, Family, Therapist
from bot.domain.subject import Subject
from bot.features.access import access
from bot.features.context import Context
from bot.features.events import Event
from bot.phrases import words_for

Act = Callable[[Context, Event, Therapist, str], None]
"""What a command, a button or a step of a talk does; the string is what follows the command or the verb."""

MOST_CHOICES = 12
LONGEST_LABEL = 24


def say(
    context: Context, event: Event, text: str, buttons: Buttons = (), *, about: Subject | None = None
) -> int | None:
    return context.say(OutgoingMessage(chat_id=event.chat_id, text=text, buttons=buttons, about=about))


def edit_pressed(context: Context, event: Event, text: str, buttons: Buttons = ()) -> None:
    """Change the message under which a button was pressed."""
    if event.message_id is None:
        return
    said = context.uow.outbox.said_as(event.chat_id, event.message_id)
    if said is not None:
        context.say(OutgoingMessage(chat_id=event.chat_id, text=text, buttons=buttons, edits=said.id))


def seen_family(context: Context, event: Event, therapist: Therapist, family_id: str) -> Family | None:
    """Return a family that this therapist may see; otherwise say that there is none, and nothing more."""
    if access.may_see(context, therapist, family_id):
        return context.uow.families.find(family_id)
    say(context, event, words_for(therapist.language)("therapist.not_yours"))
    return None


def own_family(context: Context, event: Event, therapist: Therapist, family_id: str) -> Family | None:
    """Return a family of this therapist's own: a cover neither discharges nor hands over."""
    family = seen_family(context, event, therapist, family_id)
    if family is None or family.therapist_id == therapist.id:
        return family
    say(context, event, words_for(therapist.language)("therapist.only_own"))
    return None


def chosen_family(
    context: Context, event: Event, therapist: Therapist, wanted: str, verb: str
) -> Family | None:
    """Return the one family that `wanted` names; otherwise offer those that fit, as buttons "verb:family"."""
    families = [family for family in access.families_seen(context, therapist) if family.state != "discharged"]
    fitting = matching(context, families, wanted)
    words = words_for(therapist.language)
    if len(fitting) == 1:
        return fitting[0]
    if not fitting:
        key = "therapist.none_found" if families else "therapist.no_families"
        say(context, event, words(key, name=wanted.strip()) if families else words(key))
        return None
    if len(fitting) > MOST_CHOICES:
        say(context, event, words("therapist.too_many", n=len(fitting)))
        return None
    say(context, event, words("therapist.which_family"), family_buttons(fitting, verb))
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


def matching(context: Context, families: Sequence[Family], wanted: str) -> list[Family]:
    """Return the families whose nickname, id or carers' names hold the words; an exact nickname alone where one is."""
    sought = folded(wanted)
    if not sought:
        return list(families)
    exact = [family for family in families if sought in (folded(family.nickname), folded(family.id))]
    if exact:
        return exact
    found = []
    for family in families:
        carers: list[Carer] = context.uow.carers.of_family(family.id)
        if any(sought in folded(name) for name in (family.nickname, *(carer.name for carer in carers))):
            found.append(family)
    return found
