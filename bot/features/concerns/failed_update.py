"""Words of an update that we failed to handle: they still reach the therapist, at once, since nobody has read them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from bot.domain.actor import SERVER
from bot.domain.ids import ChatId
from bot.domain.outgoing import OutgoingMessage
from bot.domain.people import Carer
from bot.domain.subject import Subject
from bot.features.access import access
from bot.features.context import Context
from bot.features.formats import quoted, shortened
from bot.phrases import words_for
from bot.text import without_unseen


def pass_on(context: Context, raw: Mapping[str, Any]) -> None:
    """Tell the therapists of whoever wrote, and tell the writer. A stranger's words are left, and so is a press."""
    message = raw.get("message") or raw.get("edited_message")
    if not isinstance(message, Mapping):
        return
    chat, text = message.get("chat"), message.get("text") or message.get("caption") or ""
    chat_id = chat.get("id") if isinstance(chat, Mapping) else None
    if not isinstance(chat_id, int) or not -(2**63) <= chat_id < 2**63 or not isinstance(text, str):
        return
    chat_id, text = ChatId(chat_id), without_unseen(text)
    therapist = context.uow.therapists.in_chat(chat_id)
    if therapist is not None:
        words = words_for(therapist.language)
        said = words("therapist.own_not_handled", text=shortened(text))
        context.say(OutgoingMessage(chat_id=chat_id, text=said, kind="concern"))
        return
    carers = [each for each in context.uow.carers.in_chat(chat_id) if each.state == "active"]
    names = [name for carer in carers if (name := _tell_of(context, carer, text))]
    if not names:
        return
    _keep(context, carers[0], chat_id, message, text)
    words = words_for(carers[0].language)
    numbers = context.numbers(context.uow.families.find(carers[0].family_id), carers[0].language)
    context.say(
        OutgoingMessage(
            chat_id=chat_id,
            text=words(
                "edge.not_handled",
                therapist=", ".join(dict.fromkeys(names)),
                emergency_line=numbers.emergency_line,
            ),
            kind="concern",
        )
    )


def _tell_of(context: Context, carer: Carer, text: str) -> str | None:
    """Tell those who listen to this baby's family; return the first who was told."""
    family = context.uow.families.find(carer.family_id)
    if family is None:
        return None
    told = None
    for therapist in access.concern_listeners(context, family.therapist_id):
        words = words_for(therapist.language)
        said = context.tell_therapist(
            therapist,
            words(
                "therapist.not_handled",
                carer=carer.name,
                nickname=family.nickname,
                text=quoted(text or words.plain("therapist.no_words")),
            ),
            kind="concern",
            about=Subject.family(family.id, carer.id),
        )
        if said is not None and told is None:
            told = therapist.name
    context.uow.audit.note(who=SERVER, what="words passed on", now=context.now, family_id=family.id)
    return told


def _keep(context: Context, carer: Carer, chat_id: ChatId, message: Mapping[str, Any], text: str) -> None:
    """Keep the words verbatim as unread, so that the digest shows them."""
    message_id = message.get("message_id")
    if not isinstance(message_id, int) or context.uow.messages.in_chat(chat_id, message_id):
        return
    kept = context.uow.messages.keep(
        chat_id=chat_id,
        message_id=message_id,
        kind="text",
        text=text,
        at=context.now,
        family_id=carer.family_id,
        carer_id=carer.id,
    )
    context.uow.messages.set_unparsed(kept, text)
