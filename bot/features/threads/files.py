"""Files of a carer: the bot can neither look nor listen, so a person gets them."""

from __future__ import annotations

from bot.domain.outgoing import Attachment
from bot.domain.subject import Subject
from bot.features.access import access
from bot.features.context import CarerContext
from bot.features.events import FileSent
from bot.features.threads import shown_holds
from bot.features.threads.questions import FILE_KINDS
from bot.phrases import words_for


def received_file(ctx: CarerContext, event: FileSent, *, only_asks: bool, hold: str | None) -> None:
    """A photo, clip, voice note or document: kept, and passed to the therapist, since the bot cannot look or listen.

    only_asks: its words are no message of their own. hold: the activity that they name.
    """
    known = ctx.uow.messages.in_chat(ctx.chat_id, event.message_id)
    if known is not None:
        return
    kept = None
    if only_asks or not event.text:
        kept = ctx.uow.messages.keep(
            chat_id=ctx.chat_id,
            message_id=event.message_id,
            kind=event.kind,
            text=event.text,
            at=event.at,
            family_id=ctx.family.id,
            carer_id=ctx.carer.id,
            file_id=event.file_id,
        )
    if event.kind in shown_holds.LOOKED_AT:
        shown_holds.received(ctx, event, kept, hold)
        return
    for therapist in access.listeners(ctx.context, ctx.family.therapist_id):
        words = words_for(therapist.language)
        ctx.context.tell_therapist(
            therapist,
            words(
                "therapist.file_from",
                carer=ctx.carer.name,
                nickname=ctx.family.nickname,
                text=event.text,
            ),
            attachment=Attachment(FILE_KINDS.get(event.kind, "document"), event.kind, file_id=event.file_id),
            about=Subject.family(ctx.family.id, ctx.carer.id),
        )
    if not event.text:
        key = "ask.voice_passed_on" if event.kind == "voice" else "ask.file_passed_on"
        name = (ctx.therapist()).name
        ctx.answer(ctx.words(key, therapist=name, emergency_line=ctx.numbers.emergency_line))
