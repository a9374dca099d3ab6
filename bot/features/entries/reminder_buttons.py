"""TODO bot.features.entries.reminder_buttons."""

from __future__ import annotations

from typing import get_args

from bot.domain.outgoing import Button, Buttons, row
from bot.domain.reminders import Reminder
from bot.features import chat
from bot.features.chat import pressed_message
from bot.features.context import CarerContext
from bot.features.entries import follow_up, log
from bot.features.formats import minutes_shown
from bot.features.refreshers import refresher
from bot.features.reminders import pauses
from bot.features.reminders.lifecycle import buttons_of, text_of, without_buttons
from bot.features.reminders.sending import skip
from bot.replies.reading import Entry, SkipReason

# What "not now" may have been for: one tap more, if the carer likes.
REASONS: tuple[SkipReason, ...] = ("no_time", "refused", "unwell")


def pressed_done(ctx: CarerContext, argument: str) -> None:
    reminder = _pressed_reminder(ctx, argument)
    if reminder is not None:
        _count(ctx, reminder, reminder.minutes)


def pressed_minutes(ctx: CarerContext, argument: str) -> None:
    """Offer other minutes in place of the buttons; "back" brings them again."""
    reminder = _pressed_reminder(ctx, argument)
    if reminder is None:
        return
    ctx.note()
    back = row(Button(ctx.words.plain("remind.back_button"), f"back:{reminder.id}"))
    buttons = (*log.minute_buttons(f"did:{reminder.id}", reminder.minutes), back)
    plan = (ctx.plan()).plan
    chat.edit_pressed(ctx, text_of(ctx.context, reminder, plan, ctx.words, ctx.carer), buttons)


def pressed_back(ctx: CarerContext, argument: str) -> None:
    reminder = _pressed_reminder(ctx, argument)
    if reminder is None:
        return
    ctx.note()
    plan = (ctx.plan()).plan
    text = text_of(ctx.context, reminder, plan, ctx.words, ctx.carer)
    chat.edit_pressed(ctx, text, buttons_of(reminder, ctx.words))


def pressed_did(ctx: CarerContext, argument: str) -> None:
    reminder_id, _, minutes = argument.partition(":")
    reminder = _pressed_reminder(ctx, reminder_id)
    if reminder is not None and minutes.isdigit() and int(minutes) > 0:
        _count(ctx, reminder, float(minutes))


def _count(ctx: CarerContext, reminder: Reminder, minutes: float) -> None:
    entry = Entry(activity=reminder.activity, minutes=minutes, side=reminder.side)
    session = log.log_entry(ctx, entry, message_id=None, reminder=reminder)
    sessions = log.settle(ctx, [session])
    ctx.note(ctx.words("count.counted_note"))
    log.show_counted(ctx, sessions)
    follow_up.follow_up(ctx, sessions)


def count_for(ctx: CarerContext, reminder: Reminder, entry: Entry) -> None:
    """Count a reminder that was answered by a reaction: its own message becomes the counted line."""
    session = log.log_entry(ctx, entry, message_id=None, reminder=reminder)
    sessions = log.settle(ctx, [session])
    line = log.counted_line(ctx, session)
    text = ctx.named(log.described(ctx, sessions))
    ctx.edit(line, text, log.undo_buttons(ctx, sessions[0]))
    follow_up.follow_up(ctx, sessions)


def pressed_later(ctx: CarerContext, argument: str) -> None:
    reminder = _pressed_reminder(ctx, argument)
    if reminder is None:
        return
    ctx.note()
    text = pauses.later(ctx, reminder, None)
    without_buttons(ctx.context, reminder, but=pressed_message(ctx))
    chat.edit_pressed(ctx, text)


def pressed_asleep(ctx: CarerContext, argument: str) -> None:
    reminder = _pressed_reminder(ctx, argument)
    if reminder is None:
        return
    skip(ctx, reminder, "asleep", message_id=None)
    ctx.note()
    text, buttons = pauses.asleep(ctx)
    chat.edit_pressed(ctx, text, buttons)


def pressed_not_now(ctx: CarerContext, argument: str) -> None:
    """Let it go, and offer the reason as one tap that nobody has to make."""
    reminder = _pressed_reminder(ctx, argument)
    if reminder is None:
        return
    skip(ctx, reminder, "other", message_id=None)
    ctx.note()
    text = ctx.words("remind.not_now", activity=ctx.activity_name(reminder.activity))
    reasons = [
        Button(ctx.words.plain(f"reasons.{reason}"), f"why:{reminder.id}:{reason}") for reason in REASONS
    ]
    chat.edit_pressed(ctx, f"{text} {ctx.words('reasons.may_say')}", (row(*reasons),))


def pressed_why(ctx: CarerContext, argument: str) -> None:
    reminder_id, _, reason = argument.partition(":")
    reminder = ctx.uow.reminders.find(int(reminder_id)) if reminder_id.isdigit() else None
    if reminder is None or reminder.family_id != ctx.family.id or reason not in get_args(SkipReason):
        ctx.note(ctx.words("edge.old_button"))
        return
    if reminder.state != "skipped":
        ctx.note(ctx.words("remind.closed"))
        return
    ctx.uow.reminders.mark(reminder.id, "skipped", now=ctx.now, reason=reason)
    ctx.uow.entries.change_skip(reminder.id, reason=reason)
    ctx.note()
    buttons: Buttons = ()
    if reason == "unwell":
        text, buttons = pauses.unwell(ctx)
    else:
        text = ctx.words("reasons.noted", reason=ctx.words.plain(f"reasons.{reason}").lower())
    chat.edit_pressed(ctx, text, buttons)


def pressed_show(ctx: CarerContext, argument: str) -> None:
    """Show the card; the reminder keeps its buttons."""
    reminder = ctx.uow.reminders.find(int(argument)) if argument.isdigit() else None
    if reminder is None or reminder.family_id != ctx.family.id:
        ctx.note(ctx.words("edge.old_button"))
        return
    ctx.note()
    refresher.show(ctx, reminder.activity, reminder.side)


def _pressed_reminder(ctx: CarerContext, argument: str) -> Reminder | None:
    """Return the reminder that a button names while it can still be answered; otherwise say what became of it."""
    reminder = ctx.uow.reminders.find(int(argument)) if argument.isdigit() else None
    if reminder is None or reminder.family_id != ctx.family.id:
        ctx.note(ctx.words("edge.old_button"))
        return None
    if reminder.state in ("sent", "expired", "later"):
        return reminder
    sessions = ctx.uow.entries.of_reminder(reminder.id)
    minutes = sum(session.minutes or 0 for session in sessions)
    if minutes:
        ctx.note(ctx.words("count.already_counted_minutes", minutes=minutes_shown(minutes)))
    else:
        ctx.note(ctx.words("remind.closed"))
    return None
