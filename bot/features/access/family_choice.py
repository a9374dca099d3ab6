"""Small things that every part of a therapist's chat needs: saying, changing what was said, choosing a family."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence

from bot.domain.names import folded
from bot.domain.outgoing import Button, Buttons, MessageEdit, OutgoingMessage, row
from bot.domain.people import Family, Therapist
from bot.domain.subject import Subject
from bot.features.access.family_lookup import families_seen, family_at_front, family_by_ref, matching
from bot.features.context import Context
from bot.features.events import ButtonPressed, Event
from bot.phrases import words_for

Act = Callable[[Context, Event, Therapist, str], None]
"""What a command, a button or a step of a talk does; the string is what follows the command or the verb."""

MOST_BUTTONS = 90  # the messaging service takes 100 under one message
LONGEST_LABEL = 24


def say(
    context: Context, event: Event, text: str, buttons: Buttons = (), *, about: Subject | None = None
) -> int | None:
    return context.say(OutgoingMessage(chat_id=event.chat_id, text=text, buttons=buttons, about=about))


def edit_pressed(context: Context, event: Event, text: str, buttons: Buttons = ()) -> None:
    """Change the message under which a button was pressed."""
    if not isinstance(event, ButtonPressed):
        return
    said = context.uow.outbox.said_as(event.chat_id, event.message_id)
    if said is not None:
        context.say(MessageEdit(chat_id=event.chat_id, text=text, buttons=buttons, edits=said.id))


def seen_family(context: Context, event: Event, therapist: Therapist, ref: str) -> Family | None:
    """Return the family that a button names and this therapist may see; otherwise say that there is none, no more."""
    family = family_by_ref(context, therapist, ref)
    if family is None:
        say(context, event, words_for(therapist.language)("therapist.not_yours"))
    return family


def own_family(context: Context, event: Event, therapist: Therapist, ref: str) -> Family | None:
    """Return a family of this therapist's own: a cover neither discharges nor hands over."""
    family = seen_family(context, event, therapist, ref)
    if family is None or family.therapist_id == therapist.id:
        return family
    say(context, event, words_for(therapist.language)("therapist.only_own"))
    return None


def chosen_family(
    context: Context,
    event: Event,
    therapist: Therapist,
    wanted: str,
    data: Callable[[Family], str],
    *,
    discharged: bool = False,
) -> Family | None:
    """Return the one family that `wanted` names; otherwise offer those that fit as buttons with `data`.

    discharged: take families in whose care has ended.
    """
    families = families_seen(context, therapist, discharged=discharged)
    return one_of(context, event, therapist, families, wanted, data)


def one_of(
    context: Context,
    event: Event,
    therapist: Therapist,
    families: Sequence[Family],
    wanted: str,
    data: Callable[[Family], str],
) -> Family | None:
    """Return the one of `families` that `wanted` names; otherwise offer those that fit as buttons with `data`."""
    fitting = matching(context, families, wanted)
    words = words_for(therapist.language)
    if len(fitting) == 1:
        return fitting[0]
    if not fitting:
        key = "therapist.none_found" if families else "therapist.no_families"
        say(context, event, words(key, name=wanted.strip()) if families else words(key))
    elif len(fitting) > MOST_BUTTONS:
        say(context, event, words("therapist.too_many", n=len(fitting)))
    else:
        in_order = sorted(fitting, key=lambda family: folded(family.nickname))
        say(context, event, words("therapist.which_family"), family_buttons(in_order, data))
    return None


def named_at_front(
    context: Context, event: Event, therapist: Therapist, text: str, data: Callable[[Family], str]
) -> tuple[Family, str] | None:
    """Return the family that the first words of a text name, and the words after the name.

    Otherwise offer those that fit, or all, as buttons with `data`; what stood after the name is to be written again.
    """
    families = families_seen(context, therapist, discharged=True)
    found, rest = family_at_front(context, families, text)
    if len(found) == 1:
        return found[0], rest
    if text.strip() and not found:
        one_of(context, event, therapist, families, text.split()[0], data)
        return None
    current = [family for family in families if family.state != "discharged"]
    family = one_of(context, event, therapist, found or current, "", data)
    return None if family is None else (family, rest)


def family_buttons(families: Sequence[Family], data: Callable[[Family], str]) -> Buttons:
    """Return buttons that name families, two a row; the id tells two of one name apart."""
    counts = Counter(family.nickname for family in families)
    buttons = [
        Button(
            short(each.nickname if counts[each.nickname] == 1 else f"{each.nickname[:12]} ({each.id})"),
            data(each),
        )
        for each in families
    ]
    return tuple(row(*buttons[i : i + 2]) for i in range(0, len(buttons), 2))


def short(label: str) -> str:
    """Return a label that fits on a button."""
    return label if len(label) <= LONGEST_LABEL else label[: LONGEST_LABEL - 1] + "…"
