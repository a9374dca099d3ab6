"""A reminder on its way out, and what a tap on it does."""

from __future__ import annotations

from typing import get_args

from bot.conversation.carer import counting, following_up, pausing, refreshing, silence
from bot.conversation.carer.prompted import buttons_of, close, pressed_message, text_of, without_buttons
from bot.conversation.desk import Desk, Talk
from bot.conversation.shown import minutes_shown
from bot.phrases import words_for
from bot.records import day, log, people
from bot.records.day import Reminder
from bot.records.people import Family
from bot.replies.reading import Entry, SkipReason
from bot.say import Button, Buttons, Say, row
from scheduling.plan import Plan

# What "not now" may have been for: one tap more, if the carer likes.
REASONS: tuple[SkipReason, ...] = ("no_time", "refused", "unwell")


async def send(desk: Desk, reminder: Reminder, family: Family, plan: Plan) -> int:
    """Say a due reminder to every carer who gets them, closing the one before; return to how many it goes."""
    for earlier in await day.unanswered(desk.conn, family.id):
        await close(desk, earlier)
    carers = await people.prompted_carers(desk.conn, family.id, desk.now)
    await silence.noticed(desk, family, carers)
    await day.mark_reminder(desk.conn, reminder.id, "sent" if carers else "dropped", now=desk.now)
    for carer in carers:
        assert carer.chat_id is not None
        words = words_for(carer.language)
        await desk.say(
            Say(
                chat_id=carer.chat_id,
                family=family.id,
                text=text_of(desk, reminder, plan, words, carer),
                kind="reminder",
                buttons=buttons_of(reminder, words),
                about=reminder.about,
                key=f"{reminder.about}:{carer.id}",
                expires_at=reminder.late_after,
            )
        )
    return len(carers)


# ---------------------------------------------------------------- buttons


async def pressed_done(talk: Talk, argument: str) -> None:
    reminder = await _pressed_reminder(talk, argument)
    if reminder is not None:
        await _count(talk, reminder, reminder.minutes)


async def pressed_minutes(talk: Talk, argument: str) -> None:
    """Offer other minutes in place of the buttons; "back" brings them again."""
    reminder = await _pressed_reminder(talk, argument)
    if reminder is None:
        return
    await talk.note()
    back = row(Button(talk.words.plain("remind.back_button"), f"back:{reminder.id}"))
    buttons = (*counting.minute_buttons(f"did:{reminder.id}", reminder.minutes), back)
    plan = (await talk.plan()).plan
    await counting.edit_pressed(talk, text_of(talk.desk, reminder, plan, talk.words, talk.carer), buttons)


async def pressed_back(talk: Talk, argument: str) -> None:
    reminder = await _pressed_reminder(talk, argument)
    if reminder is None:
        return
    await talk.note()
    plan = (await talk.plan()).plan
    text = text_of(talk.desk, reminder, plan, talk.words, talk.carer)
    await counting.edit_pressed(talk, text, buttons_of(reminder, talk.words))


async def pressed_did(talk: Talk, argument: str) -> None:
    reminder_id, _, minutes = argument.partition(":")
    reminder = await _pressed_reminder(talk, reminder_id)
    if reminder is not None and minutes.isdigit() and int(minutes) > 0:
        await _count(talk, reminder, float(minutes))


async def _count(talk: Talk, reminder: Reminder, minutes: float) -> None:
    entry = Entry(activity=reminder.activity, minutes=minutes, side=reminder.side)
    session = await counting.log_entry(talk, entry, message_id=None, reminder=reminder)
    sessions = await counting.settle(talk, [session])
    await talk.note(talk.words("count.counted_note"))
    await counting.show_counted(talk, sessions)
    await following_up.follow_up(talk, sessions)


async def count_for(talk: Talk, reminder: Reminder, entry: Entry) -> None:
    """Count a reminder that was answered by a reaction: its own message becomes the counted line."""
    session = await counting.log_entry(talk, entry, message_id=None, reminder=reminder)
    sessions = await counting.settle(talk, [session])
    line = await counting.counted_line(talk, session)
    text = talk.named(await counting.described(talk, sessions))
    await talk.edit(line, text, counting.undo_buttons(talk, sessions[0]))
    await following_up.follow_up(talk, sessions)


async def pressed_later(talk: Talk, argument: str) -> None:
    reminder = await _pressed_reminder(talk, argument)
    if reminder is None:
        return
    await talk.note()
    text = await pausing.later(talk, reminder, None)
    await without_buttons(talk.desk, reminder, but=await pressed_message(talk))
    await counting.edit_pressed(talk, text)


async def pressed_asleep(talk: Talk, argument: str) -> None:
    reminder = await _pressed_reminder(talk, argument)
    if reminder is None:
        return
    await skip(talk, reminder, "asleep", message_id=None)
    await talk.note()
    text, buttons = await pausing.asleep(talk)
    await counting.edit_pressed(talk, text, buttons)


async def pressed_not_now(talk: Talk, argument: str) -> None:
    """Let it go, and offer the reason as one tap that nobody has to make."""
    reminder = await _pressed_reminder(talk, argument)
    if reminder is None:
        return
    await skip(talk, reminder, "other", message_id=None)
    await talk.note()
    text = talk.words("remind.not_now", activity=talk.activity_name(reminder.activity))
    reasons = [
        Button(talk.words.plain(f"reasons.{reason}"), f"why:{reminder.id}:{reason}") for reason in REASONS
    ]
    await counting.edit_pressed(talk, f"{text} {talk.words('reasons.may_say')}", (row(*reasons),))


async def pressed_why(talk: Talk, argument: str) -> None:
    reminder_id, _, reason = argument.partition(":")
    reminder = await day.reminder(talk.conn, int(reminder_id)) if reminder_id.isdigit() else None
    if reminder is None or reminder.family_id != talk.family.id or reason not in get_args(SkipReason):
        await talk.note(talk.words("edge.old_button"))
        return
    if reminder.state != "skipped":
        await talk.note(talk.words("remind.closed"))
        return
    await day.mark_reminder(talk.conn, reminder.id, "skipped", now=talk.now, reason=reason)
    await log.change_skip(talk.conn, reminder.id, reason=reason)
    await talk.note()
    buttons: Buttons = ()
    if reason == "unwell":
        text, buttons = pausing.unwell(talk)
    else:
        text = talk.words("reasons.noted", reason=talk.words.plain(f"reasons.{reason}").lower())
    await counting.edit_pressed(talk, text, buttons)


async def pressed_show(talk: Talk, argument: str) -> None:
    """Show the card; the reminder keeps its buttons."""
    reminder = await day.reminder(talk.conn, int(argument)) if argument.isdigit() else None
    if reminder is None or reminder.family_id != talk.family.id:
        await talk.note(talk.words("edge.old_button"))
        return
    await talk.note()
    await refreshing.show(talk, reminder.activity, reminder.side)


async def skip(talk: Talk, reminder: Reminder | None, reason: SkipReason, *, message_id: int | None) -> None:
    """Note that a prompted activity was not done; its buttons go and the day is planned anew."""
    await log.add_skip(
        talk.conn,
        family_id=talk.family.id,
        carer_id=talk.carer.id,
        message_id=message_id,
        reminder_id=reminder.id if reminder else None,
        activity=reminder.activity if reminder else None,
        reason=reason,
        at=talk.now,
    )
    if reminder is not None and reminder.state in ("sent", "expired", "later"):
        await day.unpin(talk.conn, talk.family.id, reminder.activity, reminder.local_date)
        await day.mark_reminder(talk.conn, reminder.id, "skipped", now=talk.now, reason=reason)
        await without_buttons(talk.desk, reminder, but=await pressed_message(talk))
    await day.plan_anew(talk.conn, talk.family.id, talk.now)


async def _pressed_reminder(talk: Talk, argument: str) -> Reminder | None:
    """Return the reminder that a button names while it can still be answered; otherwise say what became of it."""
    reminder = await day.reminder(talk.conn, int(argument)) if argument.isdigit() else None
    if reminder is None or reminder.family_id != talk.family.id:
        await talk.note(talk.words("edge.old_button"))
        return None
    if reminder.state in ("sent", "expired", "later"):
        return reminder
    sessions = await log.sessions_of_reminder(talk.conn, reminder.id)
    minutes = sum(session.minutes or 0 for session in sessions)
    if minutes:
        await talk.note(talk.words("count.already_counted_minutes", minutes=minutes_shown(minutes)))
    else:
        await talk.note(talk.words("remind.closed"))
    return None
