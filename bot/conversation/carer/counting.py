"""Entering minutes in the log, showing what was counted in one short line, and taking it back."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from typing import Literal

from bot.conversation.carer import prompted
from bot.conversation.desk import Talk
from bot.conversation.shown import minutes_shown
from bot.records import day, log, outbox
from bot.records.day import Reminder
from bot.records.log import Session
from bot.replies.reading import Entry
from bot.say import Button, Buttons, row

LONGEST_SESSION = 240  # minutes; a longer one is asked about before it counts


async def log_entry(
    talk: Talk,
    entry: Entry,
    *,
    message_id: int | None,
    reminder: Reminder | None,
    state: Literal["counted", "asked"] = "counted",
) -> Session:
    """Enter one entry in the log and return it as kept."""
    local_now = talk.family.local(talk.now)
    local_day = local_now.date() + timedelta(days=entry.day_offset)
    if reminder is not None and entry.day_offset == 0:
        local_day = reminder.local_date
    session_id = await log.add_session(
        talk.conn,
        family_id=talk.family.id,
        carer_id=talk.carer.id,
        message_id=message_id,
        reminder_id=reminder.id if reminder else None,
        activity=entry.activity,
        minutes=entry.minutes,
        side=entry.side,
        local_date=local_day,
        local_at=entry.at,
        at=_when(talk, entry, local_day, reminder),
        state=state,
        logged_at=talk.now,
    )
    return await session_now(talk, session_id)


async def session_now(talk: Talk, session_id: int) -> Session:
    """Return a session as it stands after a change."""
    found = await log.session(talk.conn, session_id)
    assert found is not None
    return found


def _when(talk: Talk, entry: Entry, local_day: date, reminder: Reminder | None) -> datetime:
    """Return the instant at which an entry began: as said, else so long ago as it took."""
    if entry.at is not None:
        return datetime.combine(local_day, time.fromisoformat(entry.at), talk.family.zone)
    if reminder is not None and local_day == reminder.local_date:
        return reminder.due_at
    if entry.day_offset:
        return datetime.combine(local_day, talk.family.local(talk.now).timetz())
    return talk.now - timedelta(minutes=min(entry.minutes or 0, LONGEST_SESSION))


async def settle(talk: Talk, sessions: Sequence[Session]) -> list[Session]:
    """Count sessions: the reminders they answer are answered, and the rest of the day is planned anew.

    Return them as they stand then.
    """
    for session in sessions:
        if session.state != "counted":
            await log.change_session(talk.conn, session.id, state="counted")
        if session.activity is not None:
            await day.unpin(talk.conn, talk.family.id, session.activity, session.local_date)
    for reminder_id in {session.reminder_id for session in sessions if session.reminder_id is not None}:
        reminder = await day.reminder(talk.conn, reminder_id)
        if reminder is not None and reminder.state != "answered":
            await prompted.answered(talk, reminder)
    await day.plan_anew(talk.conn, talk.family.id, talk.now)
    return [await session_now(talk, session.id) for session in sessions]


async def take_back(talk: Talk, sessions: Sequence[Session]) -> list[int]:
    """Undo sessions and plan the day anew; return the ids of the reminders that are open again by it."""
    for session in sessions:
        await log.change_session(talk.conn, session.id, state="undone")
    reopened = [
        reminder_id
        for reminder_id in sorted({session.reminder_id for session in sessions if session.reminder_id})
        if await prompted.answer_taken_back(talk, reminder_id)
    ]
    await day.plan_anew(talk.conn, talk.family.id, talk.now)
    return reopened


# ---------------------------------------------------------------- words


async def described(talk: Talk, sessions: Sequence[Session]) -> str:
    """Return what was counted in one short line (message HTML)."""
    parts = [describe_one(talk, session) for session in sessions]
    line = talk.words("count.counted", what="; ".join(parts))
    total = await _todays_total(talk, sessions)
    return f"{line} {total}" if total else line


def describe_one(talk: Talk, session: Session) -> str:
    """Return one session in words: "12 min of tummy time, left side, yesterday" (plain text)."""
    words = talk.words
    name = talk.activity_name(session.activity) if session.activity else words.plain("count.something")
    what = words.plain("count.minutes_of", minutes=minutes_shown(session.minutes or 0), activity=name)
    if session.side:
        what = words.plain("count.with_side", what=what, side=talk.side_name(session.side))
    days_ago = (talk.today - session.local_date).days
    if days_ago == 1:
        return words.plain("count.yesterday", what=what)
    if days_ago > 1:
        return words.plain("count.days_ago", what=what, n=days_ago)
    return what


def describe_all(talk: Talk, sessions: Sequence[Session]) -> str:
    return "; ".join(describe_one(talk, session) for session in sessions)


async def _todays_total(talk: Talk, sessions: Sequence[Session]) -> str:
    """Say how far today is, where one activity of today was counted."""
    activities = {session.activity for session in sessions}
    if len(activities) != 1 or None in activities or {s.local_date for s in sessions} != {talk.today}:
        return ""
    activity = next(iter(activities))
    assert activity is not None
    minutes = await log.minutes_today(talk.conn, talk.family.id, activity, talk.today)
    if minutes <= sum(session.minutes or 0 for session in sessions):
        return ""
    return talk.words("count.today_total", minutes=minutes_shown(minutes))


# ---------------------------------------------------------------- the counted line and its buttons


def undo_buttons(talk: Talk, session: Session) -> Buttons:
    """Return the buttons under a counted line: one tap takes back all that its message logged."""
    return (
        row(
            Button(talk.words.plain("count.undo_button"), f"undo:{session.id}"),
            Button(talk.words.plain("count.change_button"), f"change:{session.id}"),
        ),
    )


def redo_buttons(talk: Talk, session: Session) -> Buttons:
    return (row(Button(talk.words.plain("count.redo_button"), f"redo:{session.id}")),)


def minute_buttons(verb: str, around: float | None) -> Buttons:
    """Return up to eight choices of minutes, those near `around` among them."""
    choices = sorted({2, 5, 10, 15, 20, 30, *([round(around)] if around and around >= 1 else [])})[:8]
    buttons = [Button(f"{minutes} min", f"{verb}:{minutes}") for minutes in choices]
    return tuple(tuple(buttons[i : i + 4]) for i in range(0, len(buttons), 4))


async def together(talk: Talk, session: Session) -> list[Session]:
    """Return the sessions that one message logged with this one, so that they are undone together."""
    if session.message_id is None:
        return [await session_now(talk, session.id)]
    return await log.sessions_of_message(talk.conn, session.message_id)


async def counted_line(talk: Talk, session: Session) -> int | None:
    """Return the outbox id of the message in this chat that tells of a session; None where there is none."""
    if session.message_id is not None:
        kept = await log.message(talk.conn, session.message_id)
        return kept.answer_id if kept is not None and kept.chat_id == talk.chat_id else None
    if session.reminder_id is None:
        return None
    copies = await outbox.said_about(talk.conn, f"reminder:{session.reminder_id}")
    return next((outbox_id for outbox_id, chat_id in copies if chat_id == talk.chat_id), None)


async def edit_pressed(talk: Talk, text: str, buttons: Buttons = ()) -> None:
    """Change the message under which a button was pressed."""
    await talk.edit(await prompted.pressed_message(talk), talk.named(text), buttons)


async def show_counted(talk: Talk, sessions: Sequence[Session]) -> None:
    """Turn the pressed message into the counted line of these sessions."""
    await edit_pressed(talk, await described(talk, sessions), undo_buttons(talk, sessions[0]))
