"""Putting right by words what was counted: "sorry, meant 15", "undo", an answer to "how many minutes?"."""

from __future__ import annotations

from datetime import datetime, timedelta

from bot.conversation.carer import counting
from bot.conversation.carer.counting import describe_all
from bot.conversation.desk import Talk
from bot.records import day, log, outbox, people
from bot.records.log import Session
from bot.replies.reading import Entry, Reading

CORRECTED_WITHIN = timedelta(days=2)
ASKED_WITHIN = timedelta(hours=1)  # a typed number answers "how many minutes?" for this long


async def sessions_quoted(talk: Talk, quoted: outbox.Said | None) -> list[Session]:
    """Return the counted sessions of the counted line, or of their own message, that a message quotes."""
    if quoted is not None and quoted.about is not None:
        what, _, argument = quoted.about.partition(":")
        found: list[Session] = []
        if what == "message":
            found = await log.sessions_of_message(talk.conn, int(argument))
        elif what == "session" and (session := await log.session(talk.conn, int(argument))):
            found = await counting.together(talk, session)
        if found:
            return [session for session in found if session.state == "counted"]
        if what == "reminder":
            by_button = await log.sessions_of_reminder(talk.conn, int(argument))
            return [session for session in by_button if session.message_id is None]
    if quoted is None and talk.incoming.reply_to is not None:
        own = await log.message_in_chat(talk.conn, talk.chat_id, talk.incoming.reply_to)
        if own is not None:
            return [s for s in await log.sessions_of_message(talk.conn, own.id) if s.state == "counted"]
    return []


async def correct(talk: Talk, message_id: int, reading: Reading, quoted: list[Session]) -> None:
    """Give the quoted entry, or the carer's last one, the right value; its own line changes too."""
    right = reading.entries[0] if reading.entries else None
    candidates = quoted or await log.last_counted(talk.conn, talk.family.id, talk.carer.id)
    target = next((s for s in reversed(candidates) if right and right.activity == s.activity), None)
    if target is None and candidates:
        target = candidates[-1]
    if right is None or target is None or target.logged_before(talk.now - CORRECTED_WITHIN):
        await _answer(talk, message_id, talk.words("count.nothing_to_correct"))
        return
    await change(talk, message_id, target, right)


async def change(talk: Talk, message_id: int, target: Session, right: Entry) -> None:
    """Change one counted session to what `right` says; the old line shows the new value, the new one has the buttons."""
    line = await _changed(talk, target, right)
    await talk.edit(await counting.counted_line(talk, target), talk.named(line))
    said = await talk.answer(line, buttons=counting.undo_buttons(talk, target), about=f"session:{target.id}")
    # The newest line is the one that later changes edit.
    await log.change_message(talk.conn, message_id, answer_id=said, corrects=target.id)
    if target.message_id is not None:
        await log.change_message(talk.conn, target.message_id, answer_id=said)


async def change_again(talk: Talk, kept: log.Message, alone: Reading) -> bool:
    """Take the edit of a message that put a session right; return whether it still does.

    alone: the edited message read as if no reminder were open.
    """
    target = await log.session(talk.conn, kept.corrects) if kept.corrects is not None else None
    only = alone.entries[0] if len(alone.entries) == 1 else None
    if target is None or target.state != "counted" or only is None or not only.minutes:
        return False
    line = await _changed(talk, target, only)
    await talk.edit(kept.answer_id, talk.named(line), counting.undo_buttons(talk, target))
    return True


async def _changed(talk: Talk, target: Session, right: Entry) -> str:
    """Change a session and return the line that tells of all that its message logged."""
    changes = {"minutes": right.minutes, "side": right.side, "activity": right.activity}
    if right.day_offset:
        changes["local_date"] = talk.today + timedelta(days=right.day_offset)  # type: ignore[assignment]
    await log.change_session(
        talk.conn, target.id, **{name: value for name, value in changes.items() if value is not None}
    )
    await day.plan_anew(talk.conn, talk.family.id, talk.now)
    standing = [s for s in await counting.together(talk, target) if s.state == "counted"]
    return await counting.described(talk, standing)


async def undo(talk: Talk, quoted: list[Session]) -> None:
    """ "Undo": what is quoted, else what this carer logged last."""
    sessions = quoted or await log.last_counted(talk.conn, talk.family.id, talk.carer.id)
    if not sessions or (not quoted and sessions[-1].logged_before(talk.now - CORRECTED_WITHIN)):
        await talk.answer(talk.words("count.nothing_to_undo"))
        return
    line = await counting.counted_line(talk, sessions[0])
    reopened = await counting.take_back(talk, sessions)
    text = talk.words("count.undone", what=describe_all(talk, sessions))
    # A reminder that is open again shows its own buttons in that very line.
    if not (sessions[0].message_id is None and reopened):
        await talk.edit(line, talk.named(text))
    await talk.answer(text, buttons=counting.redo_buttons(talk, sessions[0]))


async def minutes_answered(talk: Talk, message_id: int, alone: Reading) -> bool:
    """Take a typed number as the answer to "Change"; return whether it was one.

    alone: the message read as if no reminder were open: who was just asked means the question.
    """
    chat = await people.chat(talk.conn, talk.chat_id)
    if chat.step != "minutes":
        return False
    asked_at = datetime.fromisoformat(str(chat.data["asked_at"]))
    session = await log.session(talk.conn, int(chat.data["session"]))
    only = alone.entries[0] if len(alone.entries) == 1 else None
    if (
        session is None
        or session.state != "counted"
        or only is None
        or not only.minutes
        or only.day_offset
        or only.activity not in (None, session.activity)
        or talk.now - asked_at > ASKED_WITHIN
        or await _reminded_since(talk, asked_at)
    ):
        return False
    await people.set_step(talk.conn, talk.chat_id, None)
    await change(talk, message_id, session, only)
    return True


async def _reminded_since(talk: Talk, asked_at: datetime) -> bool:
    newest = await day.last_sent(talk.conn, talk.family.id)
    return newest is not None and newest.sent_at is not None and newest.sent_at > asked_at


async def _answer(talk: Talk, message_id: int, text: str) -> None:
    said = await talk.answer(text, about=f"message:{message_id}")
    await log.change_message(talk.conn, message_id, answer_id=said)
