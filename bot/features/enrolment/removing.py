"""Ending somebody's part: a carer by a family's own therapist or the clinic, a therapist by the clinic alone.

Nothing more is sent to them and nothing more of theirs is passed on; the minutes that they logged stay. A carer is told,
because else they would go on writing to nobody, and keeps the right to their own words.
"""

from __future__ import annotations

from bot.domain.actor import Actor
from bot.domain.ids import CarerId
from bot.domain.outgoing import Button, OutgoingMessage, row
from bot.domain.people import Carer, Family, Therapist
from bot.domain.roles import is_group
from bot.features import verbs
from bot.features.access.family_choice import chosen_family, edit_pressed, own_family, say, short
from bot.features.concerns import notify
from bot.features.context import Context
from bot.features.enrolment.rules import taking_part
from bot.features.events import Event
from bot.features.quiet_delivery import say_by_day
from bot.phrases import words_for


def remove(context: Context, event: Event, therapist: Therapist, wanted: str) -> None:
    """/remove FAMILY: whose part ends?"""
    family = chosen_family(context, event, therapist, wanted, lambda each: verbs.REMOVE.data(each.id))
    if family is not None:
        pressed_family(context, event, therapist, family.id)


def pressed_family(context: Context, event: Event, therapist: Therapist, ref: str) -> None:
    family = own_family(context, event, therapist, ref)
    if family is None:
        return
    words = words_for(therapist.language)
    people = taking_part(context.uow.carers.of_family(family.id))
    if not people:
        say(context, event, words("remove.nobody", nickname=family.nickname))
        return
    buttons = tuple(
        row(Button(short(each.name), verbs.REMOVE_CARER.data(family.id, each.id))) for each in people
    )
    say(context, event, words("remove.who", nickname=family.nickname), buttons)


def pressed_carer(context: Context, event: Event, therapist: Therapist, ref: str, carer_id: CarerId) -> None:
    """Ask once more: it cannot be taken back but by a new invitation."""
    found = _meant(context, event, therapist, ref, carer_id)
    if found is None:
        return
    family, carer = found
    words = words_for(therapist.language)
    buttons = (
        row(
            Button(words.plain("remove.yes_button"), verbs.REMOVE_SURE.data(family.id, carer.id)),
            Button(words.plain("remove.no_button"), verbs.REMOVE_NO.data(family.id)),
        ),
    )
    text = words("remove.sure", carer=carer.name, nickname=family.nickname)
    edit_pressed(context, event, text, buttons)


def pressed_no(context: Context, event: Event, therapist: Therapist, ref: str) -> None:
    edit_pressed(context, event, words_for(therapist.language)("remove.kept"))


def pressed_sure(context: Context, event: Event, therapist: Therapist, ref: str, carer_id: CarerId) -> None:
    found = _meant(context, event, therapist, ref, carer_id)
    if found is None:
        return
    family, carer = found
    put_out_carer(context, family, carer, who=Actor.therapist(therapist.id))
    words = words_for(therapist.language)
    text = words("remove.done", carer=carer.name, nickname=family.nickname)
    if any(is_group(each) and each.state == "active" for each in context.uow.carers.of_family(family.id)):
        text += "\n" + words("remove.group", carer=carer.name)
    edit_pressed(context, event, text)


def _meant(
    context: Context, event: Event, therapist: Therapist, ref: str, carer_id: CarerId
) -> tuple[Family, Carer] | None:
    """Return whom a button names, if they still take part in a family of this therapist's own."""
    family = own_family(context, event, therapist, ref)
    carer = context.uow.carers.find(family.id, carer_id) if family else None
    if family is None:
        return None
    if carer is None or not taking_part([carer]):
        say(context, event, words_for(therapist.language)("edge.old_button"))
        return None
    return family, carer


# ---------------------------------------------------------------- done by a therapist or by the clinic


def put_out_carer(context: Context, family: Family, carer: Carer, *, who: Actor) -> None:
    """End a carer's part at once, and tell them so. who: for the log of who did what."""
    uow = context.uow
    uow.invitations.withdraw(context.now, family_id=family.id, carer_id=carer.id)
    uow.carers.put_out(carer, context.now)
    if carer.chat_id is not None:
        uow.outbox.drop_to(carer.chat_id, family_id=family.id)
        uow.chats.end_dialog(carer.chat_id)
        told = words_for(carer.language)(
            "remove.told", nickname=family.nickname, emergency_line=context.clinic.emergency_line
        )
        context.say(OutgoingMessage(chat_id=carer.chat_id, text=told))
    uow.audit.note(who=who, what="carer put out", now=context.now, family_id=family.id, detail=carer.id)


def put_out_therapist(context: Context, therapist: Therapist, heir: Therapist, *, who: Actor) -> int:
    """End a therapist's part at once and give their families to `heir`; return how many those are."""
    uow = context.uow
    uow.invitations.withdraw(context.now, therapist_id=therapist.id)
    uow.handovers.withdraw_of(therapist.id, context.now)
    families = uow.families.of_therapist(therapist.id)
    uow.therapists.leave(therapist.id, context.now)
    if therapist.chat_id is not None:
        uow.outbox.drop_to(therapist.chat_id)
        uow.chats.end_dialog(therapist.chat_id)
        told = words_for(therapist.language)("remove.therapist_told")
        context.say(OutgoingMessage(chat_id=therapist.chat_id, text=told))
    for family in families:
        uow.families.give_to(family.id, heir.id)
        _tell_family(context, family, heir)
        uow.audit.note(
            who=who, what="therapist put out", now=context.now, family_id=family.id, detail=therapist.id
        )
        # Concerns that nobody has seen are the heir's from now on, at once.
        notify.tell_again(context, uow.families.get(family.id))
    text = words_for(heir.language)("remove.families_yours", therapist=therapist.name, n=len(families))
    context.tell_therapist(heir, text)
    return len(families)


def _tell_family(context: Context, family: Family, heir: Therapist) -> None:
    for carer in context.uow.carers.of_family(family.id):
        if carer.state == "active" and carer.chat_id is not None and family.state != "discharged":
            text = words_for(carer.language)("handover.family", therapist=heir.name, nickname=family.nickname)
            say_by_day(context, family, OutgoingMessage(chat_id=carer.chat_id, family=family.id, text=text))
