"""Putting right by words what was counted: "sorry, meant 15", "undo", an answer to "how many minutes?"."""

from __future__ import annotations

from datetime import datetime, timedelta

from bot.domain.entries import LogEntry
from bot.domain.messages import Message
from bot.domain.subject import Subject
from bot.features.context import CarerContext
from bot.features.entries import log
from bot.features.entries.log import describe_all
from bot.replies.reading import Entry, Reading
from bot.storage.repositories.outbox import Said

CORRECTED_WITHIN = timedelta(days=2)
ASKED_WITHIN = timedelta(hours=1)  # a typed number answers "how many minutes?" for this long


def sessions_quoted(ctx: CarerContext, quoted: Said | None) -> list[LogEntry]:
    """Return the counted sessions of the counted line, or of their own message, that a message quotes."""
    if quoted is not None and quoted.about is not None:
        about = quoted.about
        found: list[LogEntry] = []
        if about.kind == "message":
            found = ctx.uow.entries.of_message(about.number)
        elif about.kind == "session" and (session := ctx.uow.entries.find(about.number)):
            found = log.together(ctx, session)
        if found:
            return [session for session in found if session.state == "counted"]
        if about.kind == "reminder":
            by_button = ctx.uow.entries.of_reminder(about.number)
            return [session for session in by_button if session.message_id is None]
    if quoted is None and ctx.event.reply_to is not None:
        own = ctx.uow.messages.in_chat(ctx.chat_id, ctx.event.reply_to)
        if own is not None:
            return [s for s in ctx.uow.entries.of_message(own.id) if s.state == "counted"]
    return []


def correct(ctx: CarerContext, message_id: int, reading: Reading, quoted: list[LogEntry]) -> None:
    """Give the quoted entry, or the carer's last one, the right value; its own line changes too."""
    right = reading.entries[0] if reading.entries else None
    candidates = quoted or ctx.uow.entries.last_counted(ctx.family.id, ctx.carer.id)
    target = next((s for s in reversed(candidates) if right and right.activity == s.activity), None)
    if target is None and candidates:
        target = candidates[-1]
    if right is None or target is None or target.logged_before(ctx.now - CORRECTED_WITHIN):
        _answer(ctx, message_id, ctx.words("count.nothing_to_correct"))
        return
    change(ctx, message_id, target, right)


def change(ctx: CarerContext, message_id: int, target: LogEntry, right: Entry) -> None:
    """Change one counted session to what `right` says; the old line shows the new value, the new one has the buttons."""
    line = _changed(ctx, target, right)
    ctx.edit(log.counted_line(ctx, target), ctx.named(line))
    said = ctx.answer(line, buttons=log.undo_buttons(ctx, target), about=Subject.of("session", target.id))
    # The newest line is the one that later changes edit.
    ctx.uow.messages.set_correction(message_id, target.id, said)
    if target.message_id is not None:
        ctx.uow.messages.set_line(target.message_id, said)


def change_again(ctx: CarerContext, kept: Message, alone: Reading) -> bool:
    """Take the edit of a message that put a session right; return whether it still does.

    alone: the edited message read as if no reminder were open.
    """
    target = ctx.uow.entries.find(kept.corrects) if kept.corrects is not None else None
    only = alone.entries[0] if len(alone.entries) == 1 else None
    if target is None or target.state != "counted" or only is None or not only.minutes:
        return False
    line = _changed(ctx, target, only)
    ctx.edit(kept.answer_id, ctx.named(line), log.undo_buttons(ctx, target))
    return True


def _changed(ctx: CarerContext, target: LogEntry, right: Entry) -> str:
    """Change a session and return the line that tells of all that its message logged."""
    ctx.uow.entries.correct(
        target.id,
        activity=right.activity,
        minutes=right.minutes,
        side=right.side,
        local_date=ctx.today + timedelta(days=right.day_offset) if right.day_offset else None,
    )
    ctx.uow.families.request_replan(ctx.family.id, ctx.now)
    standing = [s for s in log.together(ctx, target) if s.state == "counted"]
    return log.described(ctx, standing)


def undo(ctx: CarerContext, quoted: list[LogEntry]) -> None:
    """ "Undo": what is quoted, else what this carer logged last."""
    sessions = quoted or ctx.uow.entries.last_counted(ctx.family.id, ctx.carer.id)
    if not sessions or (not quoted and sessions[-1].logged_before(ctx.now - CORRECTED_WITHIN)):
        ctx.answer(ctx.words("count.nothing_to_undo"))
        return
    line = log.counted_line(ctx, sessions[0])
    reopened = log.take_back(ctx, sessions)
    text = ctx.words("count.undone", what=describe_all(ctx, sessions))
    # A reminder that is open again shows its own buttons in that very line.
    if not (sessions[0].message_id is None and reopened):
        ctx.edit(line, ctx.named(text))
    ctx.answer(text, buttons=log.redo_buttons(ctx, sessions[0]))


def minutes_answered(ctx: CarerContext, message_id: int, alone: Reading) -> bool:
    """Take a typed number as the answer to "Change"; return whether it was one.

    alone: the message read as if no reminder were open: who was just asked means the question.
    """
    dialog = ctx.uow.chats.get(ctx.chat_id).dialog
    asked_at, session_id = dialog.instant("asked_at"), dialog.number("session")
    if dialog.step != "minutes" or asked_at is None or session_id is None:
        return False
    session = ctx.uow.entries.find(session_id)
    only = alone.entries[0] if len(alone.entries) == 1 else None
    if (
        session is None
        or session.state != "counted"
        or only is None
        or not only.minutes
        or only.day_offset
        or only.activity not in (None, session.activity)
        or ctx.now - asked_at > ASKED_WITHIN
        or _reminded_since(ctx, asked_at)
    ):
        return False
    ctx.uow.chats.end_dialog(ctx.chat_id)
    change(ctx, message_id, session, only)
    return True


def _reminded_since(ctx: CarerContext, asked_at: datetime) -> bool:
    newest = ctx.uow.reminders.last_sent(ctx.family.id)
    return newest is not None and newest.sent_at is not None and newest.sent_at > asked_at


def _answer(ctx: CarerContext, message_id: int, text: str) -> None:
    said = ctx.answer(text, about=Subject.of("message", message_id))
    ctx.uow.messages.set_line(message_id, said)
