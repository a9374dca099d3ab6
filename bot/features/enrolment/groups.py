"""A family's group chat: refused politely unless the therapist allowed it; then it gets the family's reminders.

In a group only commands, taps and replies to the bot are read, and only of those who joined in a chat of their own: the
others never agreed that their words are kept. What concerns one person alone stays in the private chat.
"""

from __future__ import annotations

from bot.domain.actor import Actor
from bot.domain.ids import CarerId, ChatId
from bot.domain.outgoing import Button, OutgoingMessage, PressAnswer, row
from bot.domain.people import Carer, Family, Therapist
from bot.domain.roles import is_group
from bot.features import verbs
from bot.features.access.family_lookup import family_by_ref
from bot.features.concerns import without_consent
from bot.features.context import CarerContext, Context
from bot.features.enrolment import rules
from bot.features.events import (
    ButtonPressed,
    Edited,
    Event,
    JoinedGroup,
    TextWritten,
    command_of,
    reply_of,
    text_of,
)
from bot.phrases import words_for


def context_in(context: Context, event: Event) -> CarerContext | None:
    """Return the talk that something done in a group begins; None where it is settled here, or nothing to us."""
    if isinstance(event, JoinedGroup):
        _joined(context, event)
        return None
    group = next((c for c in context.uow.carers.in_chat(event.chat_id) if is_group(c)), None)
    if group is None:
        _refuse(context, event)
        return None
    family = context.uow.families.find(group.family_id)
    if family is None:
        return None
    speaker = _carer_of(context, event, family)
    words = words_for(group.language)
    turn = rules.turn_in_group(speaker, command_of(text_of(event)), for_us=_is_for_us(context, event))
    if turn == "not_joined":
        without_consent.advise(context, event.chat_id, text_of(event), group.language, family_id=family.id)
        _answer(context, event, words("groups.only_joined"))
    elif turn == "in_private":
        _answer(context, event, words("groups.in_private"))
    return CarerContext(context, event, speaker, family) if turn == "taken" and speaker else None


def _is_for_us(context: Context, event: Event) -> bool:
    if isinstance(event, ButtonPressed) or text_of(event).startswith("/"):
        return True
    quoted = reply_of(event)
    return quoted is not None and context.uow.outbox.said_as(event.chat_id, quoted) is not None


def _carer_of(context: Context, event: Event, family: Family) -> Carer | None:
    """Return who this person is in the family: their own chat has their own id."""
    if event.user_id is None:
        return None
    own = context.uow.carers.in_chat(ChatId(event.user_id))
    return next((c for c in own if c.family_id == family.id and c.state == "active"), None)


def _answer(context: Context, event: Event, text: str) -> None:
    if isinstance(event, ButtonPressed) and event.press is not None:
        context.say(PressAnswer(chat_id=event.chat_id, text=text, press=event.press))
    elif isinstance(event, TextWritten | Edited):
        context.say(OutgoingMessage(chat_id=event.chat_id, text=text, reply_to=event.message_id))


def _refuse(context: Context, event: Event) -> None:
    """Said once: a family's words belong in a private chat."""
    chat = context.uow.chats.get(event.chat_id)
    if chat.stranger_told_at is None:
        context.uow.chats.note_stranger_told(event.chat_id, context.now)
        text = words_for(event.language)("edge.no_groups")
        context.say(OutgoingMessage(chat_id=event.chat_id, text=text))


def _joined(context: Context, event: Event) -> None:
    """Somebody put the bot into a group: it becomes the family's where they are of a family that may have one."""
    own = context.uow.carers.in_chat(ChatId(event.user_id)) if event.user_id else []
    families = {each.family_id: context.uow.families.get(each.family_id) for each in own}
    carer = rules.seats_group(own, families)
    if carer is None:
        _refuse(context, event)
        return
    family = families[carer.family_id]
    _seat(context, event.chat_id, carer)
    _tell_of_group(context, carer, family)
    text = words_for(carer.language)("groups.hello", nickname=family.nickname)
    context.say(OutgoingMessage(chat_id=event.chat_id, family=family.id, text=text))


def _tell_of_group(context: Context, by: Carer, family: Family) -> None:
    """Have a family's therapist know of every group, and by whom: whoever sits in it reads along."""
    therapist = context.uow.therapists.get(family.therapist_id)
    words = words_for(therapist.language)
    groups = [
        each for each in context.uow.carers.of_family(family.id) if is_group(each) and each.state == "active"
    ]
    context.tell_therapist(
        therapist, words("groups.seated", carer=by.name, nickname=family.nickname, n=len(groups))
    )


def _seat(context: Context, chat_id: ChatId, by: Carer) -> None:
    group_id = CarerId(f"group{abs(chat_id)}")
    known = context.uow.carers.find(by.family_id, group_id)
    if known is not None:
        context.uow.carers.reseat(known, chat_id, by.language)
    else:
        context.uow.carers.add_group(
            by.family_id,
            group_id,
            chat_id=chat_id,
            name=words_for(by.language).plain("groups.name"),
            language=by.language,
            now=context.now,
        )
    context.uow.audit.note(
        who=Actor.carer(by.id),
        what="group added",
        now=context.now,
        family_id=by.family_id,
    )


# ---------------------------------------------------------------- the therapist


def choose(context: Context, event: Event, therapist: Therapist) -> None:
    """/group: which families may have a group of their own."""
    words = words_for(therapist.language)
    families = [f for f in context.uow.families.of_therapist(therapist.id) if f.state != "discharged"]
    buttons = tuple(
        row(
            Button(
                f"{'✓ ' if family.group_allowed else ''}{family.nickname}"[:24], verbs.GROUP.data(family.id)
            )
        )
        for family in families[:90]
    )
    context.say(OutgoingMessage(chat_id=event.chat_id, text=words("groups.choose"), buttons=buttons))


def pressed_allow(context: Context, event: Event, therapist: Therapist, ref: str) -> None:
    """Allow a family's group, or no longer; the group then gets nothing more."""
    family = family_by_ref(context, therapist, ref)
    if family is None or family.therapist_id != therapist.id:
        return
    words = words_for(therapist.language)
    context.uow.families.allow_group(family.id, not family.group_allowed)
    if family.group_allowed:
        for carer in context.uow.carers.of_family(family.id):
            if is_group(carer):
                context.uow.carers.leave(carer, context.now)
        text = words("groups.no_longer", nickname=family.nickname)
    else:
        text = words("groups.allowed", nickname=family.nickname)
    context.say(OutgoingMessage(chat_id=event.chat_id, text=text))
    context.uow.audit.note(
        who=Actor.therapist(therapist.id),
        what="group not allowed" if family.group_allowed else "group allowed",
        now=context.now,
        family_id=family.id,
    )
