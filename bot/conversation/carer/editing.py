"""A message that its carer changed after sending: what its first wording did is put right."""

from __future__ import annotations

from bot.conversation.carer import asking, confidence, correcting, counting, pausing, prompted, replying
from bot.conversation.desk import Talk
from bot.records import day, log, worries
from bot.replies.reader import read_reply


async def read_edited(talk: Talk) -> None:
    """An edited message corrects what its first version logged; the line that answered it changes in place."""
    assert talk.incoming.message_id is not None
    kept = await log.message_in_chat(talk.conn, talk.chat_id, talk.incoming.message_id)
    if kept is None:
        await replying.read_message(talk)
        return
    if kept.text == talk.incoming.text:
        return
    if await _edits_an_answer(talk, kept):
        return
    before = [s for s in await log.sessions_of_message(talk.conn, kept.id) if s.state == "counted"]
    slept = "asleep" in await log.skip_reasons(talk.conn, kept.id)
    await log.forget_readings(talk.conn, kept.id)
    await log.change_message(talk.conn, kept.id, text=talk.incoming.text, edited_at=talk.now, unread=None)
    if slept:
        await pausing.awake(talk)
    if kept.reminder_id is not None:
        await prompted.answer_taken_back(talk, kept.reminder_id)
    reminder = await day.reminder(talk.conn, kept.reminder_id) if kept.reminder_id else None
    reading = read_reply(talk.incoming.text, await replying.context_of(talk, reminder))
    told = await replying.act(talk, kept.id, reading, reminder, None, answer_id=kept.answer_id)
    if before and not told:
        # The message says something else now, and is answered apart: its old line must not stand as counted.
        what = counting.describe_all(talk, before)
        await talk.edit(kept.answer_id, talk.named(talk.words("count.undone", what=what)))
    await day.plan_anew(talk.conn, talk.family.id, talk.now)


async def _edits_an_answer(talk: Talk, kept: log.Message) -> bool:
    """Take the edit of a message that answered or corrected something, or was passed on; return whether it was one."""
    alone = read_reply(talk.incoming.text, await replying.context_of(talk, None))
    question = await worries.question_of_message(talk.conn, kept.id)
    asks = question is not None and not alone.entries and alone.skipped is None
    if not (asks or kept.corrects is not None or confidence.NUMBER.fullmatch(kept.text)):
        return False
    # Worries go first, here as everywhere; raising one twice is prevented there.
    await replying.raise_worries(talk, kept.id, alone)
    if asks and question is not None:
        await asking.forward(talk, kept.id, question.kind, question.activity)
    elif not (await correcting.change_again(talk, kept, alone) or await confidence.answered_anew(talk, kept)):
        return False
    await log.change_message(talk.conn, kept.id, text=talk.incoming.text, edited_at=talk.now)
    return True
