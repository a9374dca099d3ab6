"""From an invitation to a carer who has joined: who they are, what is kept, yes or no, then the family's day.

Language comes with the invitation and can be changed by a tap on the first two messages, and later with /language.
Until the yes nothing that they write is kept. Each question can be left and comes back when they write again.
"""

from __future__ import annotations

from bot.domain.actor import Actor
from bot.domain.ids import TherapistId
from bot.domain.invitations import Invitation
from bot.domain.outgoing import Button, OutgoingMessage, row
from bot.domain.roles import ROLES, is_day_care
from bot.features import verbs
from bot.features.chat import say
from bot.features.concerns import without_consent
from bot.features.context import CarerContext, Context
from bot.features.enrolment import rules
from bot.features.events import ButtonPressed, Event, Joined, TextWritten
from bot.features.schedule import dialog as schedule_dialog
from bot.phrases import words_for


def try_code(context: Context, event: Event, code: str) -> bool:
    """Take an invitation code; return whether it was one. Wrong ones are limited to a few an hour."""
    if not context.uow.invitations.may_try(event.chat_id, context.now):
        _say(context, event, "join.too_many_tries")
        return True
    invitation = context.uow.invitations.peek(code, context.now)
    if invitation is None:
        if _opened_twice(context, event):
            return True
        context.uow.invitations.note_wrong(event.chat_id, context.now)
        _say(context, event, "join.code_unknown")
        return False
    if _is_elsewhere(context, event, invitation):
        return True
    context.uow.invitations.accept(code, context.now)
    if invitation.therapist_id is not None:
        _seat_therapist(context, event, invitation.therapist_id)
        return True
    assert invitation.family_id is not None and invitation.carer_id is not None
    carer = context.uow.carers.get(invitation.family_id, invitation.carer_id)
    family = context.uow.families.get(invitation.family_id)
    already = context.uow.carers.in_chat(event.chat_id)
    context.uow.carers.begin_joining(
        carer, event.chat_id, rules.first_language(event.language, carer, already)
    )
    context.uow.chats.set_family(event.chat_id, family.id)
    context.uow.chats.end_dialog(event.chat_id)
    begin(CarerContext(context, event, carer, family).renewed())
    return True


def _opened_twice(context: Context, event: Event) -> bool:
    """A link tapped again by the one who used it: go on where they are."""
    carers = context.uow.carers.in_chat(event.chat_id)
    joining = next((carer for carer in carers if carer.state == "joining"), None)
    if joining is None:
        return False
    family = context.uow.families.get(joining.family_id)
    begin(CarerContext(context, event, joining, family))
    return True


def _is_elsewhere(context: Context, event: Event, invitation: Invitation) -> bool:
    """Refuse, without using the code up, a chat that is somebody else's place already."""
    uow, chat = context.uow, event.chat_id
    place = rules.place_of(
        invitation, uow.therapists.in_chat(chat), uow.carers.in_chat(chat), uow.carers.left_in_chat(chat)
    )
    for carer in place.released:
        uow.carers.release_chat(carer)
    if place.taken:
        _say(context, event, "join.for_someone_else")
    return place.taken


def _seat_therapist(context: Context, event: Event, therapist_id: TherapistId) -> None:
    context.uow.therapists.seat(therapist_id, event.chat_id, context.now)
    therapist = context.uow.therapists.get(therapist_id)
    words = words_for(therapist.language)
    context.say(
        OutgoingMessage(chat_id=event.chat_id, text=words("join.therapist_welcome", therapist=therapist.name))
    )
    context.uow.audit.note(who=Actor.therapist(therapist.id), what="joined", now=context.now)


# ---------------------------------------------------------------- until the yes


def begin(ctx: CarerContext) -> None:
    """Ask who they are, or for consent where that is known or their therapist said it."""
    _go_on(ctx, "")


def received(ctx: CarerContext) -> None:
    """Somebody who has not agreed yet writes: advice for a concern, their name where it was asked, else the question."""
    if isinstance(ctx.event, ButtonPressed):
        ctx.note()
    else:
        without_consent.advise(
            ctx.context, ctx.chat_id, ctx.text, ctx.carer.language, family_id=ctx.family.id
        )
    _go_on(ctx, ctx.text if isinstance(ctx.event, TextWritten) else "")


def _go_on(ctx: CarerContext, typed: str) -> None:
    dialog = ctx.uow.chats.get(ctx.chat_id).dialog
    match rules.joining_step(dialog.step, dialog.data, ctx.carer, typed):
        case "named":
            name = rules.name_written(typed)
            ctx.uow.chats.end_dialog(ctx.chat_id, keeping={"role": "other", "name": name})
            ask_consent(ctx)
        case "agreed":
            _agreed(ctx)
        case "declined":
            _declined(ctx)
        case "ask_name":
            say(ctx, ctx.words("join.ask_name"))
        case "ask_who":
            _ask_who(ctx)
        case "ask_consent":
            ask_consent(ctx)


def _ask_who(ctx: CarerContext) -> None:
    buttons = [Button(ctx.words.plain(f"join.role_{role}"), verbs.WHO.data(role)) for role in ROLES]
    say(
        ctx,
        ctx.words("join.who", nickname=ctx.family.nickname),
        (
            row(*buttons[:2]),
            row(*buttons[2:4]),
            row(buttons[4], _other_language(ctx, verbs.WHO.data("language"))),
        ),
    )


def _other_language(ctx: CarerContext, data: str) -> Button:
    return Button(ctx.words.plain("join.other_language_button"), data)


def pressed_who(ctx: CarerContext, role: str) -> None:
    ctx.note()
    if ctx.carer.state != "joining":
        return
    if role == "language":
        _ask_who(_in_other_language(ctx))
    elif role == "other":
        ctx.uow.chats.start_dialog(ctx.chat_id, "name")
        say(ctx, ctx.words("join.ask_name"))
    elif role in ROLES:
        ctx.uow.chats.end_dialog(ctx.chat_id, keeping={"role": role})
        ask_consent(ctx)


def _in_other_language(ctx: CarerContext) -> CarerContext:
    ctx.uow.carers.set_language(ctx.carer, rules.other_language(ctx.carer.language))
    return ctx.renewed()


def ask_consent(ctx: CarerContext) -> None:
    """Say in plain words what is kept and who sees it, and ask."""
    known = ctx.uow.chats.get(ctx.chat_id).dialog.data
    ctx.uow.chats.start_dialog(ctx.chat_id, "consent", known)
    clinic, therapist, words = ctx.context.clinic, ctx.therapist(), ctx.words
    text = words(
        "join.consent",
        clinic=clinic.name,
        therapist=therapist.name,
        nickname=ctx.family.nickname,
        emergency_line=ctx.numbers.emergency_line,
    )
    yes_or_no = row(
        Button(words.plain("join.yes_button"), verbs.CONSENT.data("yes")),
        Button(words.plain("join.no_button"), verbs.CONSENT.data("no")),
    )
    say(ctx, text, (yes_or_no, row(_other_language(ctx, verbs.CONSENT.data("language")))))


def pressed_consent(ctx: CarerContext, said: str) -> None:
    ctx.note()
    if said == "language":
        ask_consent(_in_other_language(ctx))
    elif said == "yes" and ctx.carer.state == "joining":
        _agreed(ctx)
    elif said == "no" and ctx.carer.state == "joining":
        _declined(ctx)


def _agreed(ctx: CarerContext) -> None:
    said = ctx.uow.chats.get(ctx.chat_id).dialog
    ctx.uow.carers.agree(ctx.carer, ctx.now, role=said.text("role"), name=said.text("name"))
    ctx.uow.chats.end_dialog(ctx.chat_id)
    ctx.uow.families.request_replan(ctx.family.id, ctx.now)
    ctx.uow.audit.note(
        who=Actor.carer(ctx.carer.id),
        what="consented",
        now=ctx.now,
        family_id=ctx.family.id,
    )
    ctx = ctx.renewed()
    therapist = ctx.therapist()
    key = "join.welcome_day_care" if is_day_care(ctx.carer) else "join.welcome"
    say(ctx, ctx.words(key, nickname=ctx.family.nickname, therapist=therapist.name))
    words = words_for(therapist.language)
    ctx.context.tell_therapist(
        therapist, words("therapist.carer_joined", carer=ctx.carer.name, nickname=ctx.family.nickname)
    )
    if not is_day_care(ctx.carer):
        schedule_dialog.begin(
            CarerContext(ctx.context, _joined(ctx.event), ctx.carer, ctx.family, ctx.several)
        )


def _joined(event: Event) -> Joined:
    """Return who did it and where, without the press."""
    return Joined(
        chat_id=event.chat_id,
        at=event.at,
        private=event.private,
        user_id=event.user_id,
        language=event.language,
    )


def _declined(ctx: CarerContext) -> None:
    """Nothing of who they said they were stays, and nothing ties the chat to the family."""
    say(ctx, ctx.words("join.declined"))
    ctx.uow.chats.end_dialog(ctx.chat_id)
    ctx.uow.carers.decline(ctx.carer)
    ctx.uow.audit.note(
        who=Actor.carer(ctx.carer.id),
        what="declined",
        now=ctx.now,
        family_id=ctx.family.id,
    )


def language_asked(ctx: CarerContext) -> None:
    """/language: the other one, in every chat of this carer's babies, by the next message."""
    other = rules.other_language(ctx.carer.language)
    for carer in ctx.uow.carers.in_chat(ctx.chat_id):
        ctx.uow.carers.set_language(carer, other)
    ctx.context.say(
        OutgoingMessage(chat_id=ctx.chat_id, family=ctx.family.id, text=words_for(other)("join.language_now"))
    )


def _say(context: Context, event: Event, key: str) -> None:
    words = words_for(event.language)
    context.say(OutgoingMessage(chat_id=event.chat_id, text=words(key)))
