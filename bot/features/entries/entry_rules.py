"""An entry from its making to its taking back: pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta

from bot.domain.entries import EntryState, LogEntry
from bot.domain.ids import EntryId, MessageId
from bot.domain.reminders import Reminder
from bot.features.effects import (
    Effect,
    Effects,
    RequestReplan,
    SetEntries,
    Unpin,
)
from bot.features.entries.contents import (
    CountedLine,
)
from bot.features.reminders import rules as reminders
from bot.features.state import CarerState
from bot.replies.reading import Entry, Reading

LONGEST_SESSION = timedelta(minutes=240)  # a longer one is asked about before it counts


def new_entry(
    state: CarerState,
    entry: Entry,
    message_id: MessageId | None,
    reminder: Reminder | None,
    entry_state: EntryState,
    number: int,
    *,
    written: datetime | None = None,
) -> LogEntry:
    """Return an entry as it will be kept. number: 1 for the first that a decision makes; it gets its own when kept.

    written: when it was told, if not just now: today is the day of the writing and not of the handling.
    """
    told_at = state.now if written is None else min(written, state.now)
    local_day = state.family.local(told_at).date() + timedelta(days=entry.day_offset)
    if reminder is not None and entry.day_offset == 0:
        local_day = reminder.local_date
    return LogEntry(
        id=EntryId(-number),
        family_id=state.family.id,
        carer_id=state.carer.id,
        message_id=message_id,
        reminder_id=reminder.id if reminder else None,
        activity=entry.activity,
        minutes=entry.minutes,
        side=entry.side,
        local_date=local_day,
        local_at=entry.at,
        at=_began(state, entry, local_day, reminder, told_at),
        state=entry_state,
        twin_of=None,
        logged_at=state.now,
    )


def _began(
    state: CarerState, entry: Entry, local_day: date, reminder: Reminder | None, told_at: datetime
) -> datetime:
    """Return the instant at which an entry began: as said, else so long ago as it took."""
    if entry.at is not None:
        return datetime.combine(local_day, time.fromisoformat(entry.at), state.family.zone)
    if reminder is not None and local_day == reminder.local_date:
        return reminder.due_at
    if entry.day_offset:
        return datetime.combine(local_day, state.family.local(told_at).timetz())
    return told_at - min(timedelta(minutes=entry.minutes or 0), LONGEST_SESSION)


def settle(state: CarerState, entries: Sequence[LogEntry]) -> tuple[Effects, tuple[LogEntry, ...]]:
    """Count entries: the reminders they answer are answered, and the rest of the day is replanned.

    state: with these entries in it. Return the effects, and the entries as they stand then.
    """
    waiting = tuple(each.id for each in entries if each.state != "counted")
    effects: list[Effect] = [SetEntries(waiting, "counted")] if waiting else []
    for activity, day in dict.fromkeys((each.activity, each.local_date) for each in entries):
        if activity is not None and state.has_pinned(activity, day):
            effects.append(Unpin(activity, day))
    for reminder_id in dict.fromkeys(each.reminder_id for each in entries if each.reminder_id is not None):
        reminder = state.reminder(reminder_id)
        if reminder is not None and reminder.state != "answered":
            effects += reminders.answered(state, reminder)
    effects.append(RequestReplan())
    return tuple(effects), tuple(replace(each, state="counted") for each in entries)


def counted_line(
    state: CarerState, entries: Sequence[LogEntry], reading: Reading | None = None, *, rest_kept: bool = False
) -> CountedLine:
    """Return the line that tells what was counted. state: with these entries in it."""
    counted = tuple(entries)
    seen = reading.observations if reading is not None else ()
    after = state.with_entries(counted)
    return CountedLine(counted, _total(after, counted), seen, rest_kept, times=_times(after, counted))


def _times(state: CarerState, entries: Sequence[LogEntry]) -> int | None:
    """Return how many times today has so far, where one activity that is counted by times was counted and there is more."""
    activities = {each.activity for each in entries}
    if len(activities) != 1 or {each.local_date for each in entries} != {state.today}:
        return None
    [activity] = activities
    if activity is None or state.plan.times_of(activity) is None:
        return None
    times = len(state.counted_on(activity, state.today))
    return times if times > len(entries) else None


def _total(state: CarerState, entries: Sequence[LogEntry]) -> float | None:
    """Return how far today is, where one activity of today was counted and there is more of it."""
    activities = {each.activity for each in entries}
    if len(activities) != 1 or None in activities or {each.local_date for each in entries} != {state.today}:
        return None
    activity = entries[0].activity
    assert activity is not None
    if state.plan.times_of(activity) is not None:
        return None
    minutes = state.minutes_on(activity, state.today)
    return minutes if minutes > sum(each.minutes or 0 for each in entries) else None


def take_back(state: CarerState, entries: Sequence[LogEntry]) -> tuple[Effects, tuple[int, ...]]:
    """Undo entries and replan the day; return the effects and the reminders that are open again by it."""
    undone = tuple(replace(each, state="undone") for each in entries)
    after = state.with_entries(undone)
    effects: Effects = (SetEntries(tuple(each.id for each in entries), "undone"),)
    reopened = []
    for reminder_id in sorted({each.reminder_id for each in entries if each.reminder_id is not None}):
        taken_back, is_open = reminders.answer_taken_back(after, reminder_id)
        effects += taken_back
        if is_open:
            reopened.append(reminder_id)
    return (*effects, RequestReplan()), tuple(reopened)
