"""A message that its carer changed after sending: what its first wording did is put right."""

from __future__ import annotations

from bot.domain.messages import Message
from bot.features.context import CarerContext
from bot.features.entries import confidence, correct, log
from bot.features.reminders import lifecycle, pauses
from bot.features.routing import carer_message
from bot.features.threads import questions
from bot.replies.reader import read_reply


def read_edited(ctx: CarerContext) -> None:
    """An edited message corrects what its first version logged; the line that answered it changes in place."""
    assert ctx.event.message_id is not None
    kept = ctx.uow.messages.in_chat(ctx.chat_id, ctx.event.message_id)
    if kept is None:
        carer_message.read_message(ctx)
        return
    if kept.text == ctx.event.text:
        return
    if _edits_an_answer(ctx, kept):
        return
    before = [s for s in ctx.uow.entries.of_message(kept.id) if s.state == "counted"]
    slept = "asleep" in ctx.uow.entries.skip_reasons(kept.id)
    ctx.uow.entries.forget_readings(kept.id)
    ctx.uow.messages.edit(kept.id, ctx.event.text, ctx.now)
    ctx.uow.messages.set_unparsed(kept.id, None)
    if slept:
        pauses.awake(ctx)
    if kept.reminder_id is not None:
        lifecycle.answer_taken_back(ctx, kept.reminder_id)
    reminder = ctx.uow.reminders.find(kept.reminder_id) if kept.reminder_id else None
    reading = read_reply(ctx.event.text, carer_message.context_of(ctx, reminder))
    told = carer_message.act(ctx, kept.id, reading, reminder, None, answer_id=kept.answer_id)
    if before and not told:
        # The message says something else now, and is answered apart: its old line must not stand as counted.
        what = log.describe_all(ctx, before)
        ctx.edit(kept.answer_id, ctx.named(ctx.words("count.undone", what=what)))
    ctx.uow.families.request_replan(ctx.family.id, ctx.now)


def _edits_an_answer(ctx: CarerContext, kept: Message) -> bool:
    """Take the edit of a message that answered or corrected something, or was passed on; return whether it was one."""
    alone = read_reply(ctx.event.text, carer_message.context_of(ctx, None))
    question = ctx.uow.questions.of_message(kept.id)
    asks = question is not None and not alone.entries and alone.skipped is None
    if not (asks or kept.corrects is not None or confidence.NUMBER.fullmatch(kept.text)):
        return False
    # Concerns go first, here as everywhere; raising one twice is prevented there.
    carer_message.raise_concerns(ctx, kept.id, alone)
    if asks and question is not None:
        questions.forward(ctx, kept.id, question.kind, question.activity)
    elif not (correct.change_again(ctx, kept, alone) or confidence.answered_anew(ctx, kept)):
        return False
    ctx.uow.messages.edit(kept.id, ctx.event.text, ctx.now)
    return True
