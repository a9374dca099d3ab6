"""A family's group chat: refused politely unless the therapist allowed it; then it gets the family's reminders.

In a group only commands, taps and replies to the bot are read, and only of those who joined in a chat of their own: the
others never agreed that their words are kept. What concerns one person alone stays in the private chat.
"""

from __future__ import annotations

from bot.conversation.carer import unkept
from bot.conversation.carer.roles import GROUP, is_day_care, is_group
from bot.conversation.desk import Desk, Talk
from bot.conversation.incoming import Incoming
from bot.phrases import words_for
from bot.records import audit, outbox, people
from bot.records.people import Carer, Family, Therapist
from bot.records.tables import carers
from bot.say import Button, Say, row

IN_GROUPS = {"/today", "/howto", "/help", "/start", "/pause", "/resume"}


async def talk_in(desk: Desk, incoming: Incoming) -> Talk | None:
    """Return the talk that something done in a group begins; None where it is settled here, or nothing to us."""
    if incoming.what == "joined_group":
        await _joined(desk, incoming)
        return None
    group = next((c for c in await people.carers_in_chat(desk.conn, incoming.chat_id) if is_group(c)), None)
    if group is None:
        await _refuse(desk, incoming)
        return None
    family = await people.family(desk.conn, group.family_id)
    if family is None or not await _is_for_us(desk, incoming):
        return None
    carer = await _carer_of(desk, incoming, family)
    words = words_for(group.language)
    if carer is None:
        await unkept.advise(desk, incoming.chat_id, incoming.text, group.language, family_id=family.id)
        await _answer(desk, incoming, words("groups.only_joined"))
        return None
    command = incoming.text.split()[0].lower().partition("@")[0] if incoming.text.startswith("/") else None
    if command is not None and command not in IN_GROUPS:
        await _answer(desk, incoming, words("groups.in_private"))
        return None
    return Talk(desk, incoming, carer, family)


async def _is_for_us(desk: Desk, incoming: Incoming) -> bool:
    if incoming.press is not None or incoming.text.startswith("/"):
        return True
    return (
        incoming.reply_to is not None
        and await outbox.said_as(desk.conn, incoming.chat_id, incoming.reply_to) is not None
    )


async def _carer_of(desk: Desk, incoming: Incoming, family: Family) -> Carer | None:
    """Return who this person is in the family: their own chat has their own id."""
    if incoming.user_id is None:
        return None
    own = await people.carers_in_chat(desk.conn, incoming.user_id)
    return next((c for c in own if c.family_id == family.id and c.state == "active"), None)


async def _answer(desk: Desk, incoming: Incoming, text: str) -> None:
    if incoming.press is not None:
        await desk.say(Say(chat_id=incoming.chat_id, text=text, press=incoming.press, kind="press"))
    elif incoming.what in ("text", "edited"):
        await desk.say(Say(chat_id=incoming.chat_id, text=text, reply_to=incoming.message_id))


async def _refuse(desk: Desk, incoming: Incoming) -> None:
    """Said once: a family's words belong in a private chat."""
    chat = await people.chat(desk.conn, incoming.chat_id)
    if chat.stranger_told_at is None:
        await people.change_chat(desk.conn, incoming.chat_id, stranger_told_at=desk.now)
        text = words_for(incoming.language)("edge.no_groups")
        await desk.say(Say(chat_id=incoming.chat_id, text=text))


async def _joined(desk: Desk, incoming: Incoming) -> None:
    """Somebody put the bot into a group: it becomes the family's where they are of a family that may have one."""
    own = await people.carers_in_chat(desk.conn, incoming.user_id) if incoming.user_id else []
    for carer in own:
        family = await people.family(desk.conn, carer.family_id)
        if family is None or not family.group_allowed or carer.state != "active" or is_day_care(carer):
            continue
        await _seat(desk, incoming.chat_id, carer)
        words = words_for(carer.language)
        await desk.say(
            Say(
                chat_id=incoming.chat_id,
                family=family.id,
                text=words("groups.hello", nickname=family.nickname),
            )
        )
        return
    await _refuse(desk, incoming)


async def _seat(desk: Desk, chat_id: int, by: Carer) -> None:
    group_id = f"group{abs(chat_id)}"
    known = await people.carer(desk.conn, by.family_id, group_id)
    values = {"state": "active", "gets_prompts": True, "blocked_at": None, "language": by.language}
    if known is not None:
        await people.change_carer(desk.conn, known, chat_id=chat_id, **values)
    else:
        await desk.conn.execute(
            carers.insert().values(
                family_id=by.family_id,
                id=group_id,
                chat_id=chat_id,
                name=words_for(by.language).plain("groups.name"),
                role=GROUP,
                consented_at=desk.now,
                **values,
            )
        )
    await audit.note(
        desk.conn,
        who=f"carer:{by.family_id}/{by.id}",
        what="group added",
        now=desk.now,
        family_id=by.family_id,
    )


# ---------------------------------------------------------------- the therapist


async def choose(desk: Desk, incoming: Incoming, therapist: Therapist) -> None:
    """/group: which families may have a group of their own."""
    words = words_for(therapist.language)
    families = [f for f in await people.families_of(desk.conn, therapist.id) if f.state != "discharged"]
    buttons = tuple(
        row(Button(f"{'✓ ' if family.group_allowed else ''}{family.nickname}"[:24], f"group:{family.id}"))
        for family in families[:90]
    )
    await desk.say(Say(chat_id=incoming.chat_id, text=words("groups.choose"), buttons=buttons))


async def pressed_allow(desk: Desk, incoming: Incoming, therapist: Therapist, family_id: str) -> None:
    """Allow a family's group, or no longer; the group then gets nothing more."""
    family = await people.family(desk.conn, family_id)
    if family is None or family.therapist_id != therapist.id:
        return
    words = words_for(therapist.language)
    await people.change_family(desk.conn, family_id, group_allowed=not family.group_allowed)
    if family.group_allowed:
        for carer in await people.carers_of(desk.conn, family_id):
            if is_group(carer):
                await people.change_carer(desk.conn, carer, state="left", gets_prompts=False)
        text = words("groups.no_longer", nickname=family.nickname)
    else:
        text = words("groups.allowed", nickname=family.nickname)
    await desk.say(Say(chat_id=incoming.chat_id, text=text))
    await audit.note(
        desk.conn,
        who=f"therapist:{therapist.id}",
        what="group not allowed" if family.group_allowed else "group allowed",
        now=desk.now,
        family_id=family_id,
    )
