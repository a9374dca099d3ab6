"""Entering minutes in the log, showing what was counted in one short line, and taking it back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from typing import Literal

from bot.domain.entries import LogEntry
from bot.domain.outgoing import Button, Buttons, row
from bot.domain.reminders import Reminder
from bot.domain.subject import Subject
from bot.features.chat import edit_pressed
from bot.features.context import CarerContext
from bot.features.formats import minutes_shown
from bot.features.reminders import lifecycle
from bot.replies.reading import Entry

LONGEST_SESSION = 240  # minutes; a longer one is asked about before it counts


def log_entry(
    ctx: CarerContext,
    entry: Entry,
    *,
    message_id: int | None,
    reminder: Reminder | None,
    state: Literal["counted", "asked"] = "counted",
) -> LogEntry:
    """Enter one entry in the log and return it as kept."""
    local_now = ctx.family.local(ctx.now)
    local_day = local_now.date() + timedelta(days=entry.day_offset)
    if reminder is not None and entry.day_offset == 0:
        local_day = reminder.local_date
    session_id = ctx.uow.entries.add(
        family_id=ctx.family.id,
        carer_id=ctx.carer.id,
        message_id=message_id,
        reminder_id=reminder.id if reminder else None,
        activity=entry.activity,
        minutes=entry.minutes,
        side=entry.side,
        local_date=local_day,
        local_at=entry.at,
        at=_when(ctx, entry, local_day, reminder),
        state=state,
        logged_at=ctx.now,
    )
    return ctx.uow.entries.get(session_id)


def _when(ctx: CarerContext, entry: Entry, local_day: date, reminder: Reminder | None) -> datetime:
    """Return the instant at which an entry began: as said, else so long ago as it took."""
    if entry.at is not None:
        return datetime.combine(local_day, time.fromisoformat(entry.at), ctx.family.zone)
    if reminder is not None and local_day == reminder.local_date:
        return reminder.due_at
    if entry.day_offset:
        return datetime.combine(local_day, ctx.family.local(ctx.now).timetz())
    return ctx.now - timedelta(minutes=min(entry.minutes or 0, LONGEST_SESSION))


def settle(ctx: CarerContext, sessions: Sequence[LogEntry]) -> list[LogEntry]:
    """Count sessions: the reminders they answer are answered, and the rest of the day is replanned.

    Return them as they stand then.
    """
    for session in sessions:
        if session.state != "counted":
            ctx.uow.entries.count(session.id)
        if session.activity is not None:
            ctx.uow.reminders.unpin(ctx.family.id, session.activity, session.local_date)
    for reminder_id in {session.reminder_id for session in sessions if session.reminder_id is not None}:
        reminder = ctx.uow.reminders.find(reminder_id)
        if reminder is not None and reminder.state != "answered":
            lifecycle.answered(ctx, reminder)
    ctx.uow.families.request_replan(ctx.family.id, ctx.now)
    return [ctx.uow.entries.get(session.id) for session in sessions]


def take_back(ctx: CarerContext, sessions: Sequence[LogEntry]) -> list[int]:
    """Undo sessions and plan the day anew; return the ids of the reminders that are open again by it."""
    for session in sessions:
        ctx.uow.entries.undo(session.id)
    reopened = [
        reminder_id
        for reminder_id in sorted({session.reminder_id for session in sessions if session.reminder_id})
        if lifecycle.answer_taken_back(ctx, reminder_id)
    ]
    ctx.uow.families.request_replan(ctx.family.id, ctx.now)
    return reopened


# ---------------------------------------------------------------- words


def described(ctx: CarerContext, sessions: Sequence[LogEntry]) -> str:
    """Return what was counted in one short line (message HTML)."""
    parts = [describe_one(ctx, session) for session in sessions]
    line = ctx.words("count.counted", what="; ".join(parts))
    total = _todays_total(ctx, sessions)
    return f"{line} {total}" if total else line


def describe_one(ctx: CarerContext, session: LogEntry) -> str:
    """Return one session in words: "12 min of tummy time, left side, yesterday" (plain text)."""
    words = ctx.words
    name = ctx.activity_name(session.activity) if session.activity else words.plain("count.something")
    what = words.plain("count.minutes_of", minutes=minutes_shown(session.minutes or 0), activity=name)
    if session.side:
        what = words.plain("count.with_side", what=what, side=ctx.side_name(session.side))
    days_ago = (ctx.today - session.local_date).days
    if days_ago == 1:
        return words.plain("count.yesterday", what=what)
    if days_ago > 1:
        return words.plain("count.days_ago", what=what, n=days_ago)
    return what


def describe_all(ctx: CarerContext, sessions: Sequence[LogEntry]) -> str:
    return "; ".join(describe_one(ctx, session) for session in sessions)


def _todays_total(ctx: CarerContext, sessions: Sequence[LogEntry]) -> str:
    """Say how far today is, where one activity of today was counted."""
    activities = {session.activity for session in sessions}
    if len(activities) != 1 or None in activities or {s.local_date for s in sessions} != {ctx.today}:
        return ""
    activity = next(iter(activities))
    assert activity is not None
    minutes = ctx.uow.entries.minutes_today(ctx.family.id, activity, ctx.today)
    if minutes <= sum(session.minutes or 0 for session in sessions):
        return ""
    return ctx.words("count.today_total", minutes=minutes_shown(minutes))


# ---------------------------------------------------------------- the counted line and its buttons


def undo_buttons(ctx: CarerContext, session: LogEntry) -> Buttons:
    """Return the buttons under a counted line: one tap takes back all that its message logged."""
    return (
        row(
            Button(ctx.words.plain("count.undo_button"), f"undo:{session.id}"),
            Button(ctx.words.plain("count.change_button"), f"change:{session.id}"),
        ),
    )


def redo_buttons(ctx: CarerContext, session: LogEntry) -> Buttons:
    return (row(Button(ctx.words.plain("count.redo_button"), f"redo:{session.id}")),)


def minute_buttons(verb: str, around: float | None) -> Buttons:
    """Return up to eight choices of minutes, those near `around` among them."""
    choices = sorted({2, 5, 10, 15, 20, 30, *([round(around)] if around and around >= 1 else [])})[:8]
    buttons = [Button(f"{minutes} min", f"{verb}:{minutes}") for minutes in choices]
    return tuple(tuple(buttons[i : i + 4]) for i in range(0, len(buttons), 4))


def together(ctx: CarerContext, session: LogEntry) -> list[LogEntry]:
    """Return the sessions that one message logged with this one, so that they are undone together."""
    if session.message_id is None:
        return [ctx.uow.entries.get(session.id)]
    return ctx.uow.entries.of_message(session.message_id)


def counted_line(ctx: CarerContext, session: LogEntry) -> int | None:
    """Return the outbox id of the message in this chat that tells of a session; None where there is none."""
    if session.message_id is not None:
        kept = ctx.uow.messages.find(session.message_id)
        return kept.answer_id if kept is not None and kept.chat_id == ctx.chat_id else None
    if session.reminder_id is None:
        return None
    copies = ctx.uow.outbox.said_about(Subject.of("reminder", session.reminder_id))
    return next((outbox_id for outbox_id, chat_id in copies if chat_id == ctx.chat_id), None)


def show_counted(ctx: CarerContext, sessions: Sequence[LogEntry]) -> None:
    """Turn the pressed message into the counted line of these sessions."""
    edit_pressed(ctx, described(ctx, sessions), undo_buttons(ctx, sessions[0]))
