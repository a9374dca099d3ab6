"""Entering minutes in the log, showing what was counted, taking it back, changing it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from typing import Literal

from bot.conversation.desk import Talk
from bot.records import day, log, outbox, people
from bot.records.day import Reminder
from bot.records.log import Session
from bot.replies.reading import Entry
from bot.say import Button, Buttons, row

LIKE_WITHIN = timedelta(minutes=45)  # two carers who log the same within this may mean one session
LONGEST_SESSION = 240  # minutes; a longer one is asked about before it counts


def minutes_shown(minutes: float) -> str:
    """Return minutes as people write them: 12, 1.5."""
    return f"{minutes:g}"


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
    kept = await log.session(talk.conn, session_id)
    assert kept is not None
    return kept


def _when(talk: Talk, entry: Entry, local_day: date, reminder: Reminder | None) -> datetime:
    """Return the instant at which an entry began: as said, else so long ago as it took."""
    if entry.at is not None:
        return datetime.combine(local_day, time.fromisoformat(entry.at), talk.family.zone)
    if reminder is not None and local_day == reminder.local_date:
        return reminder.due_at
    if entry.day_offset:
        return datetime.combine(local_day, talk.family.local(talk.now).timetz())
    return talk.now - timedelta(minutes=min(entry.minutes or 0, LONGEST_SESSION))


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


async def _todays_total(talk: Talk, sessions: Sequence[Session]) -> str:
    """Say how far today is, where one activity of today was counted."""
    activities = {session.activity for session in sessions if session.local_date == talk.today}
    if len(activities) != 1 or None in activities or len({s.local_date for s in sessions}) != 1:
        return ""
    activity = next(iter(activities))
    assert activity is not None
    minutes = await log.minutes_today(talk.conn, talk.family.id, activity, talk.today)
    if minutes <= sum(session.minutes or 0 for session in sessions):
        return ""
    return talk.words("count.today_total", minutes=minutes_shown(minutes))


def undo_buttons(talk: Talk, session: Session) -> Buttons:
    """Return the buttons under a counted line: one tap takes back all that its message logged."""
    return (
        row(
            Button(talk.words.plain("count.undo_button"), f"undo:{session.id}"),
            Button(talk.words.plain("count.change_button"), f"change:{session.id}"),
        ),
    )


async def together(talk: Talk, session: Session) -> list[Session]:
    """Return the sessions that one message logged with this one, so that they are undone together."""
    if session.message_id is None:
        return [session]
    return await log.sessions_of_message(talk.conn, session.message_id)


async def take_back(talk: Talk, sessions: Sequence[Session]) -> None:
    """Undo sessions; a reminder that they answered counts as open no more, and the day is planned anew."""
    for session in sessions:
        await log.change_session(talk.conn, session.id, state="undone")
    await day.plan_anew(talk.conn, talk.family.id, talk.now)


async def twins_asked(talk: Talk, sessions: Sequence[Session]) -> None:
    """Ask once whether a like entry of another carer was the same session; until answered both count."""
    for session in sessions:
        like = [
            other
            for other in await log.like_sessions(talk.conn, session, within=LIKE_WITHIN)
            if other.twin_of is None
        ]
        if not like:
            continue
        other = like[-1]
        await log.change_session(talk.conn, session.id, twin_of=other.id)
        await log.change_session(talk.conn, other.id, twin_of=session.id)
        await talk.answer(
            talk.words(
                "count.twin_question",
                carer=await _carer_name(talk, other.carer_id),
                what=describe_one(talk, other),
            ),
            buttons=(
                row(
                    Button(talk.words.plain("count.twin_one"), f"one:{session.id}"),
                    Button(talk.words.plain("count.twin_two"), f"two:{session.id}"),
                ),
            ),
        )
        return


async def _carer_name(talk: Talk, carer_id: str) -> str:
    found = await people.carer(talk.conn, talk.family.id, carer_id)
    return found.name if found else carer_id


# ---------------------------------------------------------------- buttons


async def pressed_undo(talk: Talk, argument: str) -> None:
    session = await _own_session(talk, argument)
    if session is None:
        return
    sessions = await together(talk, session)
    counted = [each for each in sessions if each.state == "counted"]
    if not counted:
        await talk.note(talk.words("count.already_undone"))
        return
    await take_back(talk, counted)
    await talk.note(talk.words("count.undone_note"))
    what = "; ".join(describe_one(talk, each) for each in counted)
    await edit_pressed(
        talk,
        talk.words("count.undone", what=what),
        (row(Button(talk.words.plain("count.redo_button"), f"redo:{session.id}")),),
    )


async def pressed_redo(talk: Talk, argument: str) -> None:
    session = await _own_session(talk, argument)
    if session is None:
        return
    if session.state == "counted":
        await talk.note(talk.words("count.already_counted"))
        return
    sessions = await together(talk, session)
    for each in sessions:
        await log.change_session(talk.conn, each.id, state="counted")
    await day.plan_anew(talk.conn, talk.family.id, talk.now)
    await talk.note(talk.words("count.counted_note"))
    await edit_pressed(talk, await described(talk, sessions), undo_buttons(talk, session))


async def pressed_change(talk: Talk, argument: str) -> None:
    """Offer other minutes under the same message; typing a number works as well."""
    session = await _own_session(talk, argument)
    if session is None:
        return
    await people.set_step(talk.conn, talk.chat_id, "minutes", session=session.id)
    await talk.note()
    await edit_pressed(
        talk,
        talk.words("count.how_many", activity=talk.activity_name(session.activity or "")),
        minute_buttons(f"set:{session.id}", session.minutes),
    )


def minute_buttons(verb: str, around: float | None) -> Buttons:
    """Return eight choices of minutes, those near `around` among them."""
    choices = sorted({2, 5, 10, 15, 20, 30, *([round(around)] if around and around >= 1 else [])})[:8]
    buttons = [Button(f"{minutes} min", f"{verb}:{minutes}") for minutes in choices]
    return tuple(tuple(buttons[i : i + 4]) for i in range(0, len(buttons), 4))


async def pressed_set(talk: Talk, argument: str) -> None:
    session_id, _, minutes = argument.partition(":")
    session = await _own_session(talk, session_id)
    if session is None or not minutes.isdigit():
        return
    await set_minutes(talk, session, float(minutes))
    await talk.note(talk.words("count.counted_note"))
    changed = await log.session(talk.conn, session.id)
    assert changed is not None
    await edit_pressed(talk, await described(talk, [changed]), undo_buttons(talk, changed))


async def set_minutes(talk: Talk, session: Session, minutes: float) -> None:
    await log.change_session(talk.conn, session.id, minutes=minutes, state="counted")
    await people.set_step(talk.conn, talk.chat_id, None)
    await day.plan_anew(talk.conn, talk.family.id, talk.now)


async def pressed_count(talk: Talk, argument: str) -> None:
    """ "Yes, count it": an entry that was asked about."""
    session = await _own_session(talk, argument)
    if session is None:
        return
    waiting = [each for each in await together(talk, session) if each.state == "asked" and each.minutes]
    if not waiting:
        await talk.note(talk.words("count.already_counted"))
        return
    for each in waiting:
        await log.change_session(talk.conn, each.id, state="counted")
        if each.reminder_id is not None:
            await day.mark_reminder(talk.conn, each.reminder_id, "answered", now=talk.now)
    await day.plan_anew(talk.conn, talk.family.id, talk.now)
    await talk.note(talk.words("count.counted_note"))
    await edit_pressed(talk, await described(talk, waiting), undo_buttons(talk, session))
    await twins_asked(talk, waiting)


async def pressed_drop(talk: Talk, argument: str) -> None:
    session = await _own_session(talk, argument)
    if session is None:
        return
    for each in await together(talk, session):
        if each.state == "asked":
            await log.change_session(talk.conn, each.id, state="undone")
    await talk.note()
    await edit_pressed(talk, talk.words("count.not_counted"))


async def pressed_which(talk: Talk, argument: str) -> None:
    """The carer named the activity of an entry that had none."""
    session_id, _, activity = argument.partition(":")
    session = await _own_session(talk, session_id)
    if session is None:
        return
    await log.change_session(talk.conn, session.id, activity=activity)
    await talk.note()
    if session.minutes is None:
        await edit_pressed(
            talk,
            talk.words("count.how_many", activity=talk.activity_name(activity)),
            minute_buttons(f"set:{session.id}", None),
        )
        return
    await set_minutes(talk, session, session.minutes)
    changed = await log.session(talk.conn, session.id)
    assert changed is not None
    await edit_pressed(talk, await described(talk, [changed]), undo_buttons(talk, changed))


async def pressed_one(talk: Talk, argument: str) -> None:
    """Two like entries were one session: the later one is taken back."""
    session = await _own_session(talk, argument)
    if session is None:
        return
    if session.state == "counted":
        await take_back(talk, [session])
    await talk.note()
    await edit_pressed(talk, talk.words("count.twin_was_one"))


async def pressed_two(talk: Talk, argument: str) -> None:
    await talk.note()
    await edit_pressed(talk, talk.words("count.twin_were_two"))


async def _own_session(talk: Talk, argument: str) -> Session | None:
    """Return the session that a button names, if it is this family's; otherwise say that the button is old."""
    session = await log.session(talk.conn, int(argument)) if argument.isdigit() else None
    if session is None or session.family_id != talk.family.id:
        await talk.note(talk.words("edge.old_button"))
        return None
    return session


async def edit_pressed(talk: Talk, text: str, buttons: Buttons = ()) -> None:
    """Change the message under which a button was pressed."""
    if talk.incoming.message_id is None:
        return
    said = await outbox.said_as(talk.conn, talk.chat_id, talk.incoming.message_id)
    if said is not None:
        await talk.edit(said.id, talk.named(text), buttons)
