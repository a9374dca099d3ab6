"""A message that its carer changed after sending: what its first wording did is put right."""

from __future__ import annotations

from bot.domain.messages import Message
from bot.features.apply import apply
from bot.features.context import CarerContext
from bot.features.effects import EndSleep
from bot.features.entries import confidence, handlers
from bot.features.entries.confidence_rules import HIGHEST
from bot.features.entries.loading import state_with
from bot.features.events import Edited
from bot.features.reminders import rules as reminders
from bot.features.routing import carer_message, turn
from bot.features.threads import questions
from bot.parsing.answers import number_in
from bot.replies.reader import read_reply


def read_edited(ctx: CarerContext, edit: Edited) -> None:
    """An edited message corrects what its first version logged; the line that answered it changes in place."""
    kept = ctx.uow.messages.in_chat(ctx.chat_id, edit.message_id)
    if kept is None:
        carer_message.read_message(ctx, edit)
        return
    if kept.text == ctx.text:
        return
    if _edits_an_answer(ctx, kept):
        return
    before = [s for s in ctx.uow.entries.of_message(kept.id) if s.state == "counted"]
    slept = "asleep" in ctx.uow.observations.skip_reasons(kept.id)
    ctx.uow.entries.replace_those_of(kept.id)
    ctx.uow.observations.forget_those_of(kept.id)
    ctx.uow.messages.edit(kept.id, ctx.text, ctx.now)
    ctx.uow.messages.set_unparsed(kept.id, None)
    reminder = ctx.uow.reminders.find(kept.reminder_id) if kept.reminder_id else None
    taken_back, _ = (
        reminders.answer_taken_back(state_with(ctx, reminder), reminder.id) if reminder else ((), 0)
    )
    apply(ctx, ((EndSleep(),) if slept else ()) + taken_back)
    reminder = ctx.uow.reminders.find(reminder.id) if reminder else None
    reading = read_reply(ctx.text, turn.context_of(ctx, reminder))
    told = carer_message.act(turn.Turn(ctx, kept.id, reading, reminder, None, answer_id=kept.answer_id))
    if before and not told:
        # The message says something else now, and is answered apart: its old line must not stand as counted.
        handlers.show_undone(ctx, kept.answer_id, before)
    ctx.uow.families.request_replan(ctx.family.id, ctx.now)


def _edits_an_answer(ctx: CarerContext, kept: Message) -> bool:
    """Take the edit of a message that answered or corrected something, or was passed on; return whether it was one."""
    alone = read_reply(ctx.text, turn.context_of(ctx, None))
    question = ctx.uow.questions.of_message(kept.id)
    asks = question is not None and not alone.entries and alone.skipped is None
    if not (asks or kept.corrects is not None or number_in(kept.text, HIGHEST) is not None):
        return False
    # Concerns go first, here as everywhere; raising one twice is prevented there.
    carer_message.raise_concerns(ctx, kept.id, alone)
    if asks and question is not None:
        questions.forward(ctx, kept.id, question.kind, question.activity)
    elif not (handlers.change_again(ctx, kept, alone) or confidence.answered_again(ctx, kept)):
        return False
    ctx.uow.messages.edit(kept.id, ctx.text, ctx.now)
    return True
