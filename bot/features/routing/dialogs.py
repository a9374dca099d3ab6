"""Typed answers to questions of several steps, and words that change the day; asked before anything is counted.

The message's concerns are raised before any of this: whatever a chat is in the middle of, a concern goes first.
"""

from __future__ import annotations

from collections.abc import Callable

from bot.domain.dialogs import DialogState
from bot.domain.ids import MessageId
from bot.features.context import CarerContext
from bot.features.schedule import dialog, travel
from bot.replies.reading import Reading

Answered = Callable[[CarerContext, DialogState, Reading], bool]

STEPS: dict[str, Answered] = {
    "shape": dialog.answered,
    "shape_words": dialog.answered,
    "zone": travel.answered,
    "travel": travel.answered,
}


def taken(ctx: CarerContext, message_id: MessageId, reading: Reading) -> bool:
    """Take a message as the answer to what was asked, or as words about the family's day; return whether it was."""
    state = ctx.dialog()
    answered = STEPS.get(state.step or "")
    took = answered is not None and answered(ctx, state, reading)
    if not took and (reading.concern is None and reading.unclear is None):
        took = dialog.told_in_words(ctx, message_id, reading) or travel.told_in_words(ctx)
    if took and reading.unread:
        ctx.uow.messages.set_unparsed(message_id, None)
    return took
