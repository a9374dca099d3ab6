"""What becomes of a reminder and of a family's day when life happens. Pure: a state in, effects out.

Decided: when the answer to a reminder is taken back, the reminder opens again with its buttons, in every chat that
has it, as long as it is the last one sent and could still be answered without a quote. Otherwise it counts as
unanswered, since nothing of it was done.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from bot.domain.ids import MessageId, ReminderId
from bot.domain.people import Family
from bot.domain.reminders import Reminder
from bot.features.content import Content
from bot.features.effects import (
    AddPlanned,
    DropUnsent,
    EditCopy,
    EditLine,
    Effect,
    Effects,
    EndSleep,
    HoldReminders,
    MarkReminder,
    NoteSighting,
    NoteSkip,
    PauseFamily,
    ReopenReminder,
    RequestReplan,
    ResumeFamily,
    Unpin,
)
from bot.features.reminders.planned import next_minute, planned_row
from bot.features.state import ANSWERS_WITHIN, CarerState
from bot.replies.reading import SkipReason
from scheduling.again import earliest_prompt
from scheduling.history import LogEntry as Logged
from scheduling.localtime import instant_for
from scheduling.plan import Plan

SHORTEST_SLEEP = timedelta(minutes=20)
LATER = timedelta(minutes=30)  # where a carer names no time
LONGEST_LATER = timedelta(hours=12)
ANSWERABLE = ("sent", "expired", "later")

# ---------------------------------------------------------------- what is said


@dataclass(frozen=True, slots=True)
class ReminderShown(Content):
    """A reminder with its buttons, as it first stood."""

    reminder: Reminder
    plan: Plan


@dataclass(frozen=True, slots=True)
class DoneBy(Content):
    carer: str
    activity: str


@dataclass(frozen=True, slots=True)
class Asleep(Content):
    until: datetime


@dataclass(frozen=True, slots=True)
class Awake(Content):
    pass


@dataclass(frozen=True, slots=True)
class HeldUntil(Content):
    until: datetime


@dataclass(frozen=True, slots=True)
class BackAt(Content):
    """at: when the activity comes back; None where today has no moment left for it."""

    activity: str
    at: datetime | None


@dataclass(frozen=True, slots=True)
class Unwell(Content):
    pass


@dataclass(frozen=True, slots=True)
class Away(Content):
    pass


@dataclass(frozen=True, slots=True)
class PauseOffer(Content):
    """how_long: the carer asked which lengths there are; otherwise a pause is offered beside a concern."""

    how_long: bool


@dataclass(frozen=True, slots=True)
class NoPause(Content):
    """No pause is wanted."""


@dataclass(frozen=True, slots=True)
class Paused(Content):
    """until None: until the carer says. days None: until an hour and not a day."""

    until: datetime | None
    days: int | None


@dataclass(frozen=True, slots=True)
class Resumed(Content):
    pass


# ---------------------------------------------------------------- a reminder is answered, closed, opened again


def answered(state: CarerState, reminder: Reminder) -> Effects:
    """Mark a reminder answered; the buttons go from every copy, and other carers see who did it."""
    effects: list[Effect] = [MarkReminder(reminder.id, "answered")]
    others = {
        each.chat_id: each for each in state.carers if each.chat_id is not None and each.id != state.carer.id
    }
    for copy in state.copies_of(reminder):
        if copy.chat_id == state.chat_id:
            if copy.outbox_id != state.pressed:
                effects.append(EditLine(copy.outbox_id, None, sent=copy.sent))
        elif copy.chat_id in others:
            done = DoneBy(state.carer.name, reminder.activity)
            effects.append(EditCopy(copy.outbox_id, copy.chat_id, others[copy.chat_id], done))
    return tuple(effects)


def without_buttons(state: CarerState, reminder: Reminder) -> Effects:
    """Take the buttons from every copy of a reminder but the one that is pressed, which is changed anyway."""
    copies = state.copies_of(reminder)
    dropped: Effects = () if all(copy.sent for copy in copies) else (DropUnsent(reminder.about),)
    return dropped + tuple(
        EditCopy(copy.outbox_id, copy.chat_id, None, None)
        for copy in copies
        if copy.sent and copy.outbox_id != state.pressed
    )


def answer_taken_back(state: CarerState, reminder_id: ReminderId) -> tuple[Effects, bool]:
    """Settle a reminder whose answer is gone; return what to do and whether it is open again.

    state: as it is without the answer.
    """
    reminder = state.reminder(reminder_id)
    if reminder is None or reminder.state not in ("answered", "skipped"):
        return (), False
    if state.counted_of_reminder(reminder.id):
        return (), False  # something else still answers it
    newest = state.last_sent()
    fresh = reminder.sent_at is not None and reminder.sent_at >= state.now - ANSWERS_WITHIN
    if newest is None or newest.id != reminder.id or not fresh:
        return (MarkReminder(reminder.id, "expired"),), False
    readers = {each.chat_id: each for each in state.carers}
    shown = ReminderShown(reminder, state.plan)
    copies = tuple(
        EditCopy(copy.outbox_id, copy.chat_id, readers[copy.chat_id], shown)
        for copy in state.copies_of(reminder)
        if copy.chat_id in readers
    )
    return (ReopenReminder(reminder.id), *copies), True


def skip(
    state: CarerState, reminder: Reminder | None, reason: SkipReason, *, message_id: MessageId | None
) -> Effects:
    """Note that a prompted activity was not done; its buttons go and the day is replanned."""
    effects: Effects = (NoteSkip(reason, message_id, reminder),)
    if reminder is not None and reminder.state in ANSWERABLE:
        if state.has_pinned(reminder.activity, reminder.local_date):
            effects += (Unpin(reminder.activity, reminder.local_date),)
        effects += (
            MarkReminder(reminder.id, "skipped", reason),
            *without_buttons(state, reminder),
        )
    return (*effects, RequestReplan())


# ---------------------------------------------------------------- asleep, later


def asleep(state: CarerState) -> tuple[Effects, Asleep]:
    """Hold reminders back until the baby is awake again, by word or by the day's shape; at least 20 minutes."""
    until = wakes_at(state.plan, state.family, state.now)
    return (HoldReminders(until, "asleep"), NoteSighting("told_asleep")), Asleep(until)


def wakes_at(plan: Plan, family: Family, now: datetime) -> datetime:
    """Return when a baby who sleeps now is usually awake: the next waking span to begin, 20 minutes away or more."""
    earliest = now + SHORTEST_SLEEP
    today = family.local(now).date()
    for offset in range(3):
        for start, _ in plan.awake:
            begins = instant_for(today + timedelta(days=offset), start, family.zone)
            if begins > now:
                return max(begins, earliest)
    return earliest


def is_asleep(family: Family, now: datetime) -> bool:
    return family.asleep_until is not None and family.asleep_until > now


def awake() -> tuple[Effects, Awake]:
    return (EndSleep(), NoteSighting("told_awake")), Awake()


def wait_of(minutes: float | None) -> timedelta:
    return min(timedelta(minutes=minutes) if minutes else LATER, LONGEST_LATER)


def later_without_reminder(state: CarerState, minutes: float | None) -> tuple[Effects, HeldUntil]:
    until = state.now + wait_of(minutes)
    return (HoldReminders(until, "later"),), HeldUntil(until)


def later(
    state: CarerState,
    reminder: Reminder,
    minutes: float | None,
    log: Sequence[Logged],
    *,
    slack: timedelta,
) -> tuple[Effects, BackAt]:
    """Bring a reminder back after `minutes` (30 where none are named), at a moment that the plan allows.

    log: the planner's log up to today. slack: how late a rehearsal clock may make a reminder.
    """
    effects: Effects = ()
    if reminder.state in ("sent", "expired"):
        effects = (MarkReminder(reminder.id, "later"),)
    prompt = earliest_prompt(
        state.plan,
        state.today,
        reminder.activity,
        log,
        not_before=state.family.local(next_minute(state.now + wait_of(minutes))),
        side=reminder.side,
        minutes=int(reminder.minutes),
    )
    if prompt is not None:
        row = planned_row(prompt, state.plan, slack, pinned=True)
        effects += (AddPlanned(state.today, (row,)),)
    at = None if prompt is None else prompt.at
    return (*effects, RequestReplan()), BackAt(reminder.activity, at)


# ---------------------------------------------------------------- pause and resume


def pause(state: CarerState, minutes: float | None) -> tuple[Effects, Paused]:
    """Stop reminders at once: so long as said, else until tomorrow; other lengths are one tap away."""
    if not minutes:
        return pause_days(state, 1)
    if minutes % 1440:
        until = state.now + timedelta(minutes=minutes)
        return (PauseFamily(until),), Paused(until, None)
    return pause_days(state, round(minutes / 1440))


def pause_days(state: CarerState, days: int) -> tuple[Effects, Paused]:
    """Stop reminders until the start of the day `days` days from today; with 0 until the carer says."""
    until = instant_for(state.today + timedelta(days=days), time(0), state.family.zone) if days else None
    return (PauseFamily(until),), Paused(until, days)


def resume(state: CarerState) -> tuple[Effects, Awake | Resumed]:
    """Start again: after a pause, or when the baby is awake, or when "later" is over by word."""
    was_paused = state.family.state == "paused"
    content = Awake() if is_asleep(state.family, state.now) and not was_paused else Resumed()
    return (ResumeFamily(was_paused),), content
