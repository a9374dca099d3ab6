"""Work that comes due for many families at once, in slices: each takes a part and says whether more is left.

One family for which it fails is put off, so that the others have their turn.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import timedelta

import structlog

from bot.domain.keeping import FOR_EVER, Keeping
from bot.domain.reminders import Reminder
from bot.features.access import quiet_hours
from bot.features.context import Context
from bot.features.learned import asking
from bot.features.reminders import replanning, sending
from bot.features.schedule import save
from bot.features.threads import how_is_baby
from bot.storage import erasure
from bot.storage.keeping import forget
from bot.storage.trouble import why_away

SLICE = 0.04  # seconds after which a slice begins nothing more: the write lock is held for 50 ms at most
TAKEN_AT_ONCE = 12  # families or reminders; in a slice there is time for about as many
PUT_OFF = timedelta(minutes=10)
OVERTAKEN_AFTER = timedelta(minutes=1)
EXPIRES_AFTER = timedelta(hours=20)  # an unanswered reminder is closed even where no next one comes

log = structlog.get_logger(__name__)

# Does a part of the work until the given monotonic second; returns whether more is left.
Slice = Callable[[Context, float], bool]


def plan_days(context: Context, ends: float) -> bool:
    """Plan the families whose day must be planned (anew); who came home is planned by home's clock."""
    save.end_stays_over(context)
    families = context.uow.families.to_plan(context.now, limit=TAKEN_AT_ONCE)
    for number, family_id in enumerate(families):
        if number and time.monotonic() > ends:
            return True
        try:
            with context.uow.savepoint():
                replanning.plan_family(context, family_id)
        except Exception as error:
            if why_away(error):
                raise
            log.exception("day not planned", family=family_id)
            context.uow.families.book_planning(family_id, context.now + PUT_OFF)
            return False
    return len(families) == TAKEN_AT_ONCE


def send_reminders(context: Context, ends: float) -> bool:
    """Say the reminders that are due; of those that an outage piled up only the last of a family, if it is not too late."""
    due = context.uow.reminders.due(context.now, limit=TAKEN_AT_ONCE)
    settled: set[int] = set()
    for number, reminder in enumerate(due):
        if number and time.monotonic() > ends:
            return True
        if reminder.id in settled:
            continue
        try:
            with context.uow.savepoint():
                settled |= _send_or_drop(context, reminder)
        except Exception as error:
            if why_away(error):
                raise  # the reminder is not at fault, and still due when the database is back
            log.exception("reminder not said", reminder=reminder.id)
            context.uow.reminders.mark(reminder.id, "dropped", now=context.now)
    return len(due) == TAKEN_AT_ONCE


def _send_or_drop(context: Context, reminder: Reminder) -> set[int]:
    """Settle a reminder, and with it those that are due with it in its family; return their ids."""
    family = context.uow.families.find(reminder.family_id)
    version = context.uow.plans.current(reminder.family_id)
    if family is None or version is None or family.state != "active":
        context.uow.reminders.mark(reminder.id, "dropped", now=context.now)
        return {reminder.id}
    *overtaken, last = _due_together(context, reminder)
    # The question of the morning after a concern goes in place of the first reminder.
    if context.now > last.late_after or how_is_baby.asked_before_reminder(context, family):
        overtaken.append(last)
    else:
        if sending.send(context, last, family, version.plan):
            asking.after_first_reminder(context, family, version.plan)
    for each in overtaken:
        context.uow.reminders.mark(each.id, "dropped", now=context.now)
    if overtaken:
        context.uow.families.request_replan(family.id, context.now)
    return {last.id, *(each.id for each in overtaken)}


def _due_together(context: Context, reminder: Reminder) -> list[Reminder]:
    """Return a reminder with the later ones of its family that are due too: said one by one they would come in a burst."""
    late_by = context.now - reminder.due_at
    if late_by <= OVERTAKEN_AFTER + context.slack or context.now > reminder.late_after:
        return [reminder]
    day = context.uow.reminders.on_day(reminder.family_id, reminder.local_date)
    later = [each for each in day if each.state == "planned" and reminder.due_at < each.due_at <= context.now]
    return [reminder, *later]


def release_held(context: Context, ends: float) -> bool:
    """Bring what quiet times that are over held back, of a few chats."""
    quiet_hours.release_due(context)
    return bool(context.uow.outbox.due_from_hold(context.now, limit=1))


def tidy_up(context: Context, ends: float, keeping: Keeping = FOR_EVER) -> bool:
    """Close what nobody answered, and forget what is past its days."""
    for reminder in context.uow.reminders.stale(context.now - EXPIRES_AFTER):
        if time.monotonic() > ends:
            return True
        sending.close(context, reminder)
    erasure.forget_last_words(context.uow)
    return forget(context.uow, keeping, context.now)
