"""Typed answers to questions of several steps, and words that change the day; asked before anything is counted.

The message's worries are raised before any of this: whatever a chat is in the middle of, a worry goes first.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from bot.conversation.carer import travel
from bot.conversation.day import day_shape
from bot.conversation.desk import Talk
from bot.records import log, people
from bot.records.people import Chat
from bot.replies.reading import Reading

Answered = Callable[[Talk, Chat, Reading], Awaitable[bool]]

STEPS: dict[str, Answered] = {
    "shape": day_shape.answered,
    "shape_words": day_shape.answered,
    "zone": travel.answered,
    "travel": travel.answered,
}


async def taken(talk: Talk, message_id: int, reading: Reading) -> bool:
    """Take a message as the answer to what was asked, or as words about the family's day; return whether it was."""
    chat = await people.chat(talk.conn, talk.chat_id)
    answered = STEPS.get(chat.step or "")
    took = answered is not None and await answered(talk, chat, reading)
    if not took and (reading.concern is None and reading.unclear is None):
        took = await day_shape.told_in_words(talk, message_id, reading) or await travel.told_in_words(
            talk, reading
        )
    if took and reading.unread:
        await log.change_message(talk.conn, message_id, unread=None)
    return took
