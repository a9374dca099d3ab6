"""Words of an update that we failed to handle: they still reach the therapist, at once, since nobody has read them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from bot.conversation.desk import Desk
from bot.conversation.therapist import covering
from bot.conversation.therapist.therapist_words import quoted, shortened
from bot.phrases import words_for
from bot.records import audit, log, people
from bot.records.people import Carer
from bot.say import Say


async def pass_on(desk: Desk, raw: Mapping[str, Any]) -> None:
    """Tell the therapists of whoever wrote, and tell the writer. A stranger's words are left, and so is a press."""
    message = raw.get("message") or raw.get("edited_message")
    if not isinstance(message, Mapping):
        return
    chat, text = message.get("chat"), message.get("text") or message.get("caption") or ""
    chat_id = chat.get("id") if isinstance(chat, Mapping) else None
    if not isinstance(chat_id, int) or not isinstance(text, str):
        return
    therapist = await people.therapist_in_chat(desk.conn, chat_id)
    if therapist is not None:
        words = words_for(therapist.language)
        said = words("therapist.own_not_handled", text=shortened(text))
        await desk.say(Say(chat_id=chat_id, text=said, kind="concern"))
        return
    carers = [each for each in await people.carers_in_chat(desk.conn, chat_id) if each.state == "active"]
    names = [name for carer in carers if (name := await _tell_of(desk, carer, text))]
    if not names:
        return
    await _keep(desk, carers[0], chat_id, message, text)
    words = words_for(carers[0].language)
    await desk.say(
        Say(
            chat_id=chat_id,
            text=words(
                "edge.not_handled",
                therapist=", ".join(dict.fromkeys(names)),
                emergency_line=desk.clinic.emergency_line,
            ),
            kind="concern",
        )
    )


async def _tell_of(desk: Desk, carer: Carer, text: str) -> str | None:
    """Tell those who listen to this baby's family; return the first who was told."""
    family = await people.family(desk.conn, carer.family_id)
    if family is None:
        return None
    told = None
    for therapist in await covering.worry_listeners(desk, family.therapist_id):
        words = words_for(therapist.language)
        said = await desk.tell_therapist(
            therapist,
            words(
                "therapist.not_handled",
                carer=carer.name,
                nickname=family.nickname,
                text=quoted(text or words.plain("therapist.no_words")),
            ),
            kind="concern",
            about=f"family:{family.id}/{carer.id}",
        )
        if said is not None and told is None:
            told = therapist.name
    await audit.note(desk.conn, who="server", what="words passed on", now=desk.now, family_id=family.id)
    return told


async def _keep(desk: Desk, carer: Carer, chat_id: int, message: Mapping[str, Any], text: str) -> None:
    """Keep the words verbatim as unread, so that the digest shows them."""
    message_id = message.get("message_id")
    if not isinstance(message_id, int) or await log.message_in_chat(desk.conn, chat_id, message_id):
        return
    kept = await log.keep_message(
        desk.conn,
        chat_id=chat_id,
        message_id=message_id,
        kind="text",
        text=text,
        at=desk.now,
        family_id=carer.family_id,
        carer_id=carer.id,
    )
    await log.change_message(desk.conn, kept, unread=text)
