"""What a tap on a reminder does: load, decide, apply."""

from __future__ import annotations

from dataclasses import replace
from typing import get_args

from bot.domain.ids import ReminderId
from bot.domain.reminders import Reminder
from bot.features.apply import apply
from bot.features.buttons import MOST_MINUTES
from bot.features.content import Content
from bot.features.context import CarerContext
from bot.features.effects import Acknowledge, AddEntries, ChangeSkip, EditLine, MarkReminder
from bot.features.entries import entry_rules, rules, times_rules
from bot.features.entries.contents import (
    AlreadyCounted,
    CountedNote,
    NotNowReasons,
    OldButton,
    OtherMinutes,
    ReasonNoted,
    ReminderClosed,
)
from bot.features.entries.loading import confidence_of, state_with
from bot.features.refreshers import refresher
from bot.features.reminders import rules as reminders
from bot.features.reminders.handlers import decide_later
from bot.features.state import CarerState
from bot.replies.reading import Entry, SkipReason


def pressed_done(ctx: CarerContext, reminder_id: ReminderId) -> None:
    if (pressed := _answerable(ctx, reminder_id)) is not None:
        state, reminder = pressed
        _count(ctx, state, reminder, times_rules.answer_to(state.plan, reminder))


def pressed_did(ctx: CarerContext, reminder_id: ReminderId, minutes: int) -> None:
    if 1 <= minutes <= MOST_MINUTES and (pressed := _answerable(ctx, reminder_id)) is not None:
        reminder = pressed[1]
        _count(ctx, *pressed, Entry(activity=reminder.activity, minutes=minutes, side=reminder.side))


def pressed_all(ctx: CarerContext, reminder_id: ReminderId) -> None:
    """Count what is counted by times for each of its moments today until now; at the least the one that was asked for."""
    if (pressed := _answerable(ctx, reminder_id)) is None:
        return
    state, reminder = pressed
    entry = times_rules.answer_to(state.plan, reminder)
    now = ctx.family.local(ctx.now)
    by = next(
        (each for each in times_rules.by_times(state.plan, now) if each.activity == reminder.activity), None
    )
    if by is not None:
        had = len(state.counted_on(reminder.activity, reminder.local_date))
        times = max(by.so_far - had, 1)
        entry = replace(entry, times=times, side=entry.side if times == 1 else None)
    _count(ctx, state, reminder, entry)


def _count(ctx: CarerContext, state: CarerState, reminder: Reminder, entry: Entry) -> None:
    first = entry_rules.new_entry(state, entry, None, reminder, "counted", 1)
    new = times_rules.repeated(state, entry, first)
    state = state.with_entries(new)
    settled, entries = entry_rules.settle(state, new)
    asked = rules.follow_up(state, entries, confidence_of(ctx, [reminder.activity]))
    line = EditLine(state.pressed, entry_rules.counted_line(state, entries))
    apply(ctx, (AddEntries(new), *settled, Acknowledge(CountedNote()), line, *asked))


def pressed_minutes(ctx: CarerContext, reminder_id: ReminderId) -> None:
    """Offer other minutes in place of the buttons; "back" brings them again."""
    if (pressed := _answerable(ctx, reminder_id)) is not None:
        state, reminder = pressed
        apply(ctx, (Acknowledge(), EditLine(state.pressed, OtherMinutes(reminder, state.plan))))


def pressed_back(ctx: CarerContext, reminder_id: ReminderId) -> None:
    if (pressed := _answerable(ctx, reminder_id)) is not None:
        state, reminder = pressed
        apply(ctx, (Acknowledge(), EditLine(state.pressed, reminders.ReminderShown(reminder, state.plan))))


def pressed_later(ctx: CarerContext, reminder_id: ReminderId) -> None:
    if (pressed := _answerable(ctx, reminder_id)) is not None:
        state, reminder = pressed
        effects, content = decide_later(ctx, state, reminder, None)
        closed = reminders.without_buttons(state, reminder)
        apply(ctx, (Acknowledge(), *effects, *closed, EditLine(state.pressed, content)))


def pressed_asleep(ctx: CarerContext, reminder_id: ReminderId) -> None:
    if (pressed := _answerable(ctx, reminder_id)) is not None:
        state, reminder = pressed
        skipped = reminders.skip(state, reminder, "asleep", message_id=None)
        held, content = reminders.asleep(state)
        apply(ctx, (*skipped, Acknowledge(), *held, EditLine(state.pressed, content)))


def pressed_not_now(ctx: CarerContext, reminder_id: ReminderId) -> None:
    if (pressed := _answerable(ctx, reminder_id)) is not None:
        state, reminder = pressed
        skipped = reminders.skip(state, reminder, "other", message_id=None)
        apply(ctx, (*skipped, Acknowledge(), EditLine(state.pressed, NotNowReasons(reminder))))


def pressed_why(ctx: CarerContext, reminder_id: ReminderId, said: str) -> None:
    reason: SkipReason | None = next((each for each in get_args(SkipReason) if each == said), None)
    reminder = _own(ctx, reminder_id) if reason is not None else None
    if reminder is None or reason is None:
        apply(ctx, (Acknowledge(OldButton()),))
    elif reminder.state != "skipped":
        apply(ctx, (Acknowledge(ReminderClosed()),))
    else:
        content: Content = reminders.Unwell() if reason == "unwell" else ReasonNoted(reason)
        state = state_with(ctx, reminder)
        noted = (MarkReminder(reminder.id, "skipped", reason), ChangeSkip(reminder.id, reason))
        apply(ctx, (*noted, Acknowledge(), EditLine(state.pressed, content)))


def pressed_show(ctx: CarerContext, reminder_id: ReminderId) -> None:
    """Show the card; the reminder keeps its buttons."""
    reminder = _own(ctx, reminder_id)
    apply(ctx, (Acknowledge(None if reminder is not None else OldButton()),))
    if reminder is not None:
        refresher.show(ctx, reminder.activity, reminder.side)


def _own(ctx: CarerContext, reminder_id: ReminderId) -> Reminder | None:
    found = ctx.uow.reminders.find(reminder_id)
    return found if found is not None and found.family_id == ctx.family.id else None


def _answerable(ctx: CarerContext, reminder_id: ReminderId) -> tuple[CarerState, Reminder] | None:
    """Return the reminder that a button names while it can still be answered; otherwise say what became of it."""
    reminder = _own(ctx, reminder_id)
    if reminder is None:
        apply(ctx, (Acknowledge(OldButton()),))
        return None
    if reminder.state in reminders.ANSWERABLE:
        return state_with(ctx, reminder), reminder
    answers = ctx.uow.entries.of_reminder(reminder.id)
    minutes = sum(each.minutes or 0 for each in answers)
    apply(ctx, (Acknowledge(AlreadyCounted(minutes or None) if answers else ReminderClosed()),))
    return None
