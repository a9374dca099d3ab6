"""A thumbs-up as an answer, and /howto in everyday words."""

from __future__ import annotations

from bot.features.context import CarerContext
from bot.features.entries import handlers
from bot.features.entries.times_rules import answer_to
from bot.features.events import Reacted, Sent, StickerSent
from bot.features.refreshers import refresher
from bot.features.routing import carer_message, turn
from bot.parsing.answers import is_done_sign
from bot.replies.reader import read_reply
from bot.replies.reading import Reading, Request


def read_sign(ctx: CarerContext, sign: StickerSent | Reacted) -> bool:
    """Take a thumbs-up (a sticker, a reaction) for "done" of the open reminder; return whether it was taken so."""
    if not is_done_sign(sign.emoji):
        return False
    reminder = carer_message.open_reminder(ctx)
    if reminder is None:
        return False
    entry = answer_to(ctx.plan().plan, reminder)
    if isinstance(sign, Reacted):
        said = ctx.uow.outbox.said_as(ctx.chat_id, sign.message_id)
        if said is None or said.about != reminder.about:
            return False
        handlers.count_reaction(ctx, reminder, entry)
        return True
    kept = carer_message.keep(ctx, sign, reminder)
    if kept is not None:
        handlers.tell(ctx, kept, Reading(entries=(entry,)), reminder)
    return True


def howto(ctx: CarerContext, sent: Sent, rest: str) -> None:
    """/howto in everyday words: "/howto rugby hold"."""
    kept = carer_message.keep(ctx, sent, None)
    if kept is None:
        return
    context = turn.context_of(ctx, None)
    carer_message.raise_concerns(ctx, kept, read_reply(rest, context))
    asked = read_reply(f"how do I do {rest}?", context).request or Request("refresher")
    if asked.kind == "refresher" and asked.activity is not None:
        refresher.asked(ctx, kept, asked.activity, None)
    else:
        refresher.unknown(ctx, kept)
