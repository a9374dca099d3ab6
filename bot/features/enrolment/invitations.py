"""Inviting carers and colleagues: a one-time link, its picture to scan, and the code to print."""

from __future__ import annotations

import io

import segno

from bot.domain.actor import Actor
from bot.domain.ids import CarerId
from bot.domain.outgoing import Attachment, Button, OutgoingMessage, row
from bot.domain.people import Family, Therapist
from bot.features import verbs
from bot.features.access.family_choice import (
    MOST_BUTTONS,
    edit_pressed,
    family_buttons,
    say,
    seen_family,
    short,
)
from bot.features.access.family_lookup import families_seen, matching
from bot.features.context import Context
from bot.features.enrolment import rules
from bot.features.events import Event, TextWritten
from bot.phrases import words_for
from bot.storage import registration
from bot.storage.repositories.invitations import VALID, printed

ROLES = ("mother", "father", "grandparent", "day_care")


def link(bot_name: str | None, code: str) -> str | None:
    """Return the link that opens the chat with an invitation; None where the bot's name is not known."""
    return None if bot_name is None else f"https://t.me/{bot_name}?start={code}"


def to_scan(address: str) -> bytes:
    """Return a link as a picture to scan (PNG)."""
    picture = io.BytesIO()
    segno.make(address, error="m").save(picture, kind="png", scale=10, border=4)
    return picture.getvalue()


def invite(context: Context, event: Event, therapist: Therapist, wanted: str) -> None:
    """/invite: a carer of one of the families, a new family, or a colleague."""
    words = words_for(therapist.language)
    families = families_seen(context, therapist)
    fitting = matching(context, families, wanted)
    if wanted.strip() and len(fitting) == 1:
        _whom(context, event, therapist, fitting[0])
        return
    if wanted.strip() and not fitting:
        say(context, event, words("therapist.none_found", name=wanted.strip()))
        return
    others = (
        row(Button(words.plain("setup.new_family_button"), verbs.NEW_FAMILY.data())),
        row(Button(words.plain("setup.colleague_button"), verbs.INVITE_COLLEAGUE.data())),
    )
    if len(fitting) > MOST_BUTTONS:
        say(context, event, words("setup.invite_many"), others)
    else:
        say(
            context,
            event,
            words("setup.invite"),
            (*family_buttons(fitting, lambda each: verbs.INVITE.data(each.id)), *others),
        )


def pressed_family(context: Context, event: Event, therapist: Therapist, ref: str) -> None:
    family = seen_family(context, event, therapist, ref)
    if family is not None:
        _whom(context, event, therapist, family)


def _whom(context: Context, event: Event, therapist: Therapist, family: Family) -> None:
    """Ask who is invited: a role by button, a name in words, or somebody again whose invitation was lost."""
    words = words_for(therapist.language)
    context.uow.chats.start_dialog(event.chat_id, "invite", {"family": family.id})
    roles = [Button(words.plain(f"setup.{role}"), verbs.INVITE_ROLE.data(family.id, role)) for role in ROLES]
    waiting = [
        row(
            Button(
                short(words.plain("setup.again_button", carer=carer.name)),
                verbs.INVITE_AGAIN.data(carer.id),
            )
        )
        for carer in rules.may_be_invited_again(context.uow.carers.of_family(family.id))
    ]
    text = words("setup.who", nickname=family.nickname)
    say(context, event, text, (row(*roles[:2]), row(*roles[2:]), *waiting))


def pressed_role(context: Context, event: Event, therapist: Therapist, ref: str, role: str) -> None:
    family = seen_family(context, event, therapist, ref)
    if family is not None and role in ROLES:
        name = words_for(therapist.language).plain(f"setup.{role}")
        _invite_one(context, event, therapist, family, name, role)


def name_written(context: Context, event: TextWritten, therapist: Therapist) -> None:
    """The step "invite": the name of who is invited."""
    words = words_for(therapist.language)
    name = rules.name_written(event.text)
    if name is None:
        say(context, event, words("setup.name_too_long", n=rules.LONGEST_NAME))
        return
    dialog = context.uow.chats.get(event.chat_id).dialog
    family = seen_family(context, event, therapist, dialog.text("family") or "")
    if family is not None:
        _invite_one(context, event, therapist, family, name, "parent")


def _invite_one(
    context: Context, event: Event, therapist: Therapist, family: Family, name: str, role: str
) -> None:
    """Invite somebody new; where one of that name is of the family already, ask first."""
    like = rules.of_the_name(rules.taking_part(context.uow.carers.of_family(family.id)), name)
    if not like:
        _new_carer(context, event, therapist, family, name, role)
        return
    words = words_for(therapist.language)
    context.uow.chats.start_dialog(event.chat_id, "invite", {"family": family.id, "name": name, "role": role})
    again = [
        row(
            Button(
                short(words.plain("setup.again_button", carer=each.name)), verbs.INVITE_AGAIN.data(each.id)
            )
        )
        for each in rules.may_be_invited_again(like)
    ]
    other = row(Button(words.plain("setup.other_button"), verbs.INVITE_OTHER.data()))
    say(context, event, words("setup.same_name", carer=name, nickname=family.nickname), (*again, other))


def pressed_other(context: Context, event: Event, therapist: Therapist) -> None:
    """ "Somebody else": of the same name as one who is there."""
    dialog = context.uow.chats.get(event.chat_id).dialog
    name, role = dialog.text("name"), dialog.text("role")
    if dialog.step == "invitecolleague" and name is not None:
        _new_colleague(context, event, therapist, name)
        return
    if dialog.step != "invite" or name is None or role is None:
        say(context, event, words_for(therapist.language)("edge.old_button"))
        return
    family = seen_family(context, event, therapist, dialog.text("family") or "")
    if family is not None:
        _new_carer(context, event, therapist, family, name, role)


def _new_carer(
    context: Context, event: Event, therapist: Therapist, family: Family, name: str, role: str
) -> None:
    carer_id = registration.add_carer(
        context.uow, family.id, name=name, language=therapist.language, role=role
    )
    _hand_out(context, event, therapist, family, carer_id)


def pressed_again(context: Context, event: Event, therapist: Therapist, carer_id: CarerId) -> None:
    dialog = context.uow.chats.get(event.chat_id).dialog
    if dialog.step != "invite":
        say(context, event, words_for(therapist.language)("edge.old_button"))
        return
    family = seen_family(context, event, therapist, dialog.text("family") or "")
    carer = context.uow.carers.find(family.id, carer_id) if family else None
    if family is not None and carer is not None and carer.state != "active":
        _hand_out(context, event, therapist, family, carer.id)


def _hand_out(
    context: Context, event: Event, therapist: Therapist, family: Family, carer_id: CarerId
) -> None:
    """Say the invitation in words made to be passed on, and keep only that it was made."""
    context.uow.chats.end_dialog(event.chat_id)
    carer = context.uow.carers.get(family.id, carer_id)
    code = context.uow.invitations.invite(now=context.now, family_id=family.id, carer_id=carer_id)
    words = words_for(carer.language)
    text = words(
        "setup.pass_on", therapist=therapist.name, bot=_bot(context), code=printed(code), days=VALID.days
    )
    _show(context, event, text, code)
    mine = words_for(therapist.language)
    other = Button(mine.plain("setup.in_other_language"), verbs.INVITE_IN_OTHER.data(family.id, carer_id))
    # A message of its own: the invitation before it is what is passed on.
    context.tell_therapist(
        therapist, mine("setup.invited", carer=carer.name, nickname=family.nickname), buttons=(row(other),)
    )
    context.uow.audit.note(
        who=Actor.therapist(therapist.id),
        what="carer invited",
        now=context.now,
        family_id=family.id,
        detail=carer_id,
    )


def pressed_language(
    context: Context, event: Event, therapist: Therapist, ref: str, carer_id: CarerId
) -> None:
    """Make the invitation anew in the other language, which is the carer's from then on."""
    family = seen_family(context, event, therapist, ref)
    carer = context.uow.carers.find(family.id, carer_id) if family is not None else None
    if family is None or carer is None or carer.state != "invited":
        say(context, event, words_for(therapist.language)("edge.old_button"))
        return
    context.uow.carers.set_language(carer, rules.other_language(carer.language))
    _hand_out(context, event, therapist, family, carer_id)


def _bot(context: Context) -> str:
    return f"@{context.bot_name}" if context.bot_name else context.clinic.name


def _show(context: Context, event: Event, text: str, code: str) -> None:
    address = link(context.bot_name, code)
    if address is None:
        say(context, event, text)
        return
    picture = Attachment("picture", "invitation.png", content=to_scan(address))
    context.say(OutgoingMessage(chat_id=event.chat_id, text=f"{text}\n{address}", attachment=picture))


def pressed_colleague(context: Context, event: Event, therapist: Therapist) -> None:
    context.uow.chats.start_dialog(event.chat_id, "invitecolleague")
    edit_pressed(context, event, words_for(therapist.language)("setup.colleague_name"))


def colleague_written(context: Context, event: TextWritten, therapist: Therapist) -> None:
    """The step "invitecolleague": the name of a therapist who is to join the clinic."""
    words = words_for(therapist.language)
    name = rules.name_written(event.text)
    if name is None:
        say(context, event, words("setup.name_too_long", n=rules.LONGEST_NAME))
        return
    there = [each for each in context.uow.therapists.all() if each.left_at is None]
    if rules.of_the_name(there, name):
        context.uow.chats.start_dialog(event.chat_id, "invitecolleague", {"name": name})
        other = Button(words.plain("setup.other_button"), verbs.INVITE_OTHER.data())
        say(context, event, words("setup.same_colleague", therapist=name), (row(other),))
        return
    _new_colleague(context, event, therapist, name)


def _new_colleague(context: Context, event: Event, therapist: Therapist, name: str) -> None:
    words = words_for(therapist.language)
    context.uow.chats.end_dialog(event.chat_id)
    colleague_id = registration.add_therapist(context.uow, name=name, language=therapist.language)
    code = context.uow.invitations.invite(now=context.now, therapist_id=colleague_id)
    text = words(
        "setup.pass_on_colleague",
        clinic=context.clinic.name,
        bot=_bot(context),
        code=printed(code),
        days=VALID.days,
    )
    _show(context, event, text, code)
    say(context, event, words("setup.colleague_invited", therapist=name))
    context.uow.audit.note(
        who=Actor.therapist(therapist.id),
        what="therapist invited",
        now=context.now,
        detail=colleague_id,
    )
