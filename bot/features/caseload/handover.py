"""Handing a family over: a colleague is asked, accepts or declines, and the family hears who their therapist is now."""

from __future__ import annotations

from bot.domain.actor import Actor
from bot.domain.handovers import Handover
from bot.domain.ids import TherapistId
from bot.domain.outgoing import Button, OutgoingMessage, row
from bot.domain.people import Family, Therapist
from bot.features import verbs
from bot.features.access.family_choice import chosen_family, edit_pressed, own_family, say, short
from bot.features.caseload import browse
from bot.features.concerns import notify
from bot.features.context import Context
from bot.features.events import Event
from bot.features.quiet_delivery import say_by_day
from bot.phrases import words_for

STEP = "handover"


def hand_over(context: Context, event: Event, therapist: Therapist, wanted: str) -> None:
    """/handover FAMILY: to whom?"""
    family = chosen_family(context, event, therapist, wanted, lambda each: verbs.HANDOVER.data(each.id))
    if family is not None:
        pressed_family(context, event, therapist, family.id)


def pressed_family(context: Context, event: Event, therapist: Therapist, argument: str) -> None:
    family = own_family(context, event, therapist, argument)
    if family is None:
        return
    words = words_for(therapist.language)
    colleagues = [each for each in context.uow.therapists.all() if each.id != therapist.id and each.reachable]
    if not colleagues:
        say(context, event, words("cover.alone"))
        return
    context.uow.chats.start_dialog(event.chat_id, STEP, {"family": family.id})
    buttons = tuple(row(Button(short(each.name), verbs.HANDOVER_TO.data(each.id))) for each in colleagues)
    say(context, event, words("handover.to_whom", nickname=family.nickname), buttons)


def pressed_colleague(context: Context, event: Event, therapist: Therapist, argument: TherapistId) -> None:
    """Ask the colleague, who sees the nickname alone until they accept."""
    dialog = context.uow.chats.get(event.chat_id).dialog
    if dialog.step != STEP:
        say(context, event, words_for(therapist.language)("edge.old_button"))
        return
    family = own_family(context, event, therapist, dialog.text("family") or "")
    colleague = context.uow.therapists.find(argument)
    if family is None or colleague is None or colleague.id == therapist.id:
        return
    context.uow.chats.end_dialog(event.chat_id)
    handover_id = context.uow.handovers.ask(
        family_id=family.id, from_id=therapist.id, to_id=colleague.id, now=context.now
    )
    words, theirs = words_for(therapist.language), words_for(colleague.language)
    edit_pressed(context, event, words("handover.asked", therapist=colleague.name, nickname=family.nickname))
    context.tell_therapist(
        colleague,
        theirs("handover.offer", therapist=therapist.name, nickname=family.nickname),
        buttons=(
            row(
                Button(theirs.plain("handover.accept_button"), verbs.HANDOVER_YES.data(handover_id)),
                Button(theirs.plain("handover.decline_button"), verbs.HANDOVER_NO.data(handover_id)),
            ),
        ),
    )
    _note(context, therapist, family, "handover asked", colleague.id)


def pressed_accept(context: Context, event: Event, therapist: Therapist, number: int) -> None:
    found = _open(context, event, therapist, number)
    family = context.uow.families.find(found.family_id) if found else None
    if found is None or family is None:
        return
    context.uow.handovers.settle(found.id, "accepted", context.now)
    context.uow.families.give_to(family.id, therapist.id)
    words = words_for(therapist.language)
    edit_pressed(context, event, words("handover.yours", nickname=family.nickname))
    _tell_others(context, therapist, found, family)
    _note(context, therapist, family, "handover accepted", found.from_id)
    browse.pressed_card(context, event, therapist, family.id)
    # Concerns that nobody has seen are the new therapist's from now on, at once.
    notify.tell_again(context, context.uow.families.get(family.id))


def _tell_others(context: Context, therapist: Therapist, found: Handover, family: Family) -> None:
    before = context.uow.therapists.find(found.from_id)
    if before is not None:
        text = words_for(before.language)("handover.done", therapist=therapist.name, nickname=family.nickname)
        context.tell_therapist(before, text)
    for carer in context.uow.carers.of_family(family.id):
        if carer.state == "active" and carer.chat_id is not None:
            text = words_for(carer.language)(
                "handover.family", therapist=therapist.name, nickname=family.nickname
            )
            say_by_day(context, family, OutgoingMessage(chat_id=carer.chat_id, family=family.id, text=text))


def pressed_decline(context: Context, event: Event, therapist: Therapist, number: int) -> None:
    found = _open(context, event, therapist, number)
    family = context.uow.families.find(found.family_id) if found else None
    if found is None or family is None:
        return
    context.uow.handovers.settle(found.id, "declined", context.now)
    words = words_for(therapist.language)
    edit_pressed(context, event, words("handover.you_declined", nickname=family.nickname))
    asker = context.uow.therapists.find(found.from_id)
    if asker is not None:
        text = words_for(asker.language)(
            "handover.declined", therapist=therapist.name, nickname=family.nickname
        )
        context.tell_therapist(asker, text)
    _note(context, therapist, family, "handover declined", found.from_id)


def _open(context: Context, event: Event, therapist: Therapist, number: int) -> Handover | None:
    """Return the offer that a button names, if it is open, for this therapist, and still the asker's to make."""
    found = context.uow.handovers.find(number)
    family = context.uow.families.find(found.family_id) if found else None
    if (
        found is not None
        and family is not None
        and found.to_id == therapist.id
        and found.state == "asked"
        and family.therapist_id == found.from_id
    ):
        return found
    say(context, event, words_for(therapist.language)("edge.old_button"))
    return None


def _note(context: Context, therapist: Therapist, family: Family, what: str, detail: str) -> None:
    context.uow.audit.note(
        who=Actor.therapist(therapist.id),
        what=what,
        now=context.now,
        family_id=family.id,
        detail=detail,
    )
