"""Inviting carers and colleagues: a one-time link, its picture to scan, and the code to print."""

from __future__ import annotations

import io

import segno

from bot.conversation.desk import Desk
from bot.conversation.incoming import Incoming
from bot.conversation.therapist import covering
from bot.conversation.therapist.therapist_talk import (
    MOST_CHOICES,
    edit_pressed,
    family_buttons,
    matching,
    say,
    seen_family,
    short,
)
from bot.phrases import words_for
from bot.records import audit, invitations, newcomers, people
from bot.records.invitations import VALID, printed
from bot.records.people import Family, Therapist
from bot.say import Attachment, Button, Say, row

ROLES = ("mother", "father", "grandparent", "day_care")
LONGEST_NAME = 40


def link(bot_name: str | None, code: str) -> str | None:
    """Return the link that opens the chat with an invitation; None where the bot's name is not known."""
    return None if bot_name is None else f"https://t.me/{bot_name}?start={code}"


def to_scan(address: str) -> bytes:
    """Return a link as a picture to scan (PNG)."""
    picture = io.BytesIO()
    segno.make(address, error="m").save(picture, kind="png", scale=10, border=4)
    return picture.getvalue()


async def invite(desk: Desk, incoming: Incoming, therapist: Therapist, wanted: str) -> None:
    """/invite: a carer of one of the families, a new family, or a colleague."""
    words = words_for(therapist.language)
    families = [f for f in await covering.families_seen(desk, therapist) if f.state != "discharged"]
    fitting = await matching(desk, families, wanted)
    if wanted.strip() and len(fitting) == 1:
        await _whom(desk, incoming, therapist, fitting[0])
        return
    if wanted.strip() and not fitting:
        await say(desk, incoming, words("therapist.none_found", name=wanted.strip()))
        return
    others = (
        row(Button(words.plain("setup.new_family_button"), "newfamily")),
        row(Button(words.plain("setup.colleague_button"), "invitecolleague")),
    )
    if len(fitting) > MOST_CHOICES:
        await say(desk, incoming, words("setup.invite_many"), others)
    else:
        await say(desk, incoming, words("setup.invite"), (*family_buttons(fitting, "invite"), *others))


async def pressed_family(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    family = await seen_family(desk, incoming, therapist, argument)
    if family is not None:
        await _whom(desk, incoming, therapist, family)


async def _whom(desk: Desk, incoming: Incoming, therapist: Therapist, family: Family) -> None:
    """Ask who is invited: a role by button, a name in words, or somebody again whose invitation was lost."""
    words = words_for(therapist.language)
    await people.set_step(desk.conn, incoming.chat_id, "invite", family=family.id)
    roles = [Button(words.plain(f"setup.{role}"), f"inviterole:{family.id}:{role}") for role in ROLES]
    waiting = [
        row(
            Button(
                short(words.plain("setup.again_button", carer=carer.name)),
                f"inviteagain:{carer.id}",
            )
        )
        for carer in await people.carers_of(desk.conn, family.id)
        if carer.state != "active"
    ]
    text = words("setup.who", nickname=family.nickname)
    await say(desk, incoming, text, (row(*roles[:2]), row(*roles[2:]), *waiting))


async def pressed_role(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    family_id, _, role = argument.partition(":")
    family = await seen_family(desk, incoming, therapist, family_id)
    if family is not None and role in ROLES:
        name = words_for(therapist.language).plain(f"setup.{role}")
        await _new_carer(desk, incoming, therapist, family, name, role)


async def name_written(desk: Desk, incoming: Incoming, therapist: Therapist) -> None:
    """The step "invite": the name of who is invited."""
    words = words_for(therapist.language)
    name = " ".join(incoming.text.split())
    if len(name) > LONGEST_NAME:
        await say(desk, incoming, words("setup.name_too_long", n=LONGEST_NAME))
        return
    chat = await people.chat(desk.conn, incoming.chat_id)
    family = await seen_family(desk, incoming, therapist, str(chat.data["family"]))
    if family is not None:
        await _new_carer(desk, incoming, therapist, family, name, "parent")


async def _new_carer(
    desk: Desk, incoming: Incoming, therapist: Therapist, family: Family, name: str, role: str
) -> None:
    carer_id = await newcomers.add_carer(
        desk.conn, family.id, name=name, language=therapist.language, role=role
    )
    await _hand_out(desk, incoming, therapist, family, carer_id)


async def pressed_again(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    chat = await people.chat(desk.conn, incoming.chat_id)
    if chat.step != "invite":
        await say(desk, incoming, words_for(therapist.language)("edge.old_button"))
        return
    family = await seen_family(desk, incoming, therapist, str(chat.data["family"]))
    carer = await people.carer(desk.conn, family.id, argument) if family else None
    if family is not None and carer is not None and carer.state != "active":
        await _hand_out(desk, incoming, therapist, family, carer.id)


async def _hand_out(
    desk: Desk, incoming: Incoming, therapist: Therapist, family: Family, carer_id: str
) -> None:
    """Say the invitation in words made to be passed on, and keep only that it was made."""
    await people.set_step(desk.conn, incoming.chat_id, None)
    carer = await people.carer(desk.conn, family.id, carer_id)
    assert carer is not None
    code = await invitations.invite(desk.conn, now=desk.now, family_id=family.id, carer_id=carer_id)
    words = words_for(carer.language)
    text = words(
        "setup.pass_on", therapist=therapist.name, bot=_bot(desk), code=printed(code), days=VALID.days
    )
    await _show(desk, incoming, text, code)
    mine = words_for(therapist.language)
    await say(desk, incoming, mine("setup.invited", carer=carer.name, nickname=family.nickname))
    await audit.note(
        desk.conn,
        who=f"therapist:{therapist.id}",
        what="carer invited",
        now=desk.now,
        family_id=family.id,
        detail=carer_id,
    )


def _bot(desk: Desk) -> str:
    return f"@{desk.bot_name}" if desk.bot_name else desk.clinic.name


async def _show(desk: Desk, incoming: Incoming, text: str, code: str) -> None:
    address = link(desk.bot_name, code)
    if address is None:
        await say(desk, incoming, text)
        return
    picture = Attachment("picture", "invitation.png", content=to_scan(address))
    await desk.say(Say(chat_id=incoming.chat_id, text=f"{text}\n{address}", attachment=picture))


async def pressed_colleague(desk: Desk, incoming: Incoming, therapist: Therapist, argument: str) -> None:
    await people.set_step(desk.conn, incoming.chat_id, "invitecolleague")
    await edit_pressed(desk, incoming, words_for(therapist.language)("setup.colleague_name"))


async def colleague_written(desk: Desk, incoming: Incoming, therapist: Therapist) -> None:
    """The step "invitecolleague": the name of a therapist who is to join the clinic."""
    words = words_for(therapist.language)
    name = " ".join(incoming.text.split())
    if len(name) > LONGEST_NAME:
        await say(desk, incoming, words("setup.name_too_long", n=LONGEST_NAME))
        return
    await people.set_step(desk.conn, incoming.chat_id, None)
    colleague_id = await newcomers.add_therapist(desk.conn, name=name, language=therapist.language)
    code = await invitations.invite(desk.conn, now=desk.now, therapist_id=colleague_id)
    text = words(
        "setup.pass_on_colleague",
        clinic=desk.clinic.name,
        bot=_bot(desk),
        code=printed(code),
        days=VALID.days,
    )
    await _show(desk, incoming, text, code)
    await say(desk, incoming, words("setup.colleague_invited", therapist=name))
    await audit.note(
        desk.conn,
        who=f"therapist:{therapist.id}",
        what="therapist invited",
        now=desk.now,
        detail=colleague_id,
    )
