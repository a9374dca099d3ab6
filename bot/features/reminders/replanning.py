"""A family's day, from plan and log to reminders that wait for their time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from bot.domain.ids import FamilyId
from bot.domain.people import Family
from bot.features.context import Context
from bot.features.reminders import frequency, holds, sending
from bot.features.reminders.planned import next_minute, planned_row
from scheduling.again import keep_standing
from scheduling.hours import within
from scheduling.learned.places import plan_heard
from scheduling.learned.receptive import Receptive
from scheduling.localtime import instant_for
from scheduling.plan import Plan, held_plan
from scheduling.planner import Prompt

LEARNED_FROM = timedelta(days=42)  # what is older weighs next to nothing


def plan_family(context: Context, family_id: FamilyId) -> None:
    """Plan the rest of a family's day anew, and set when it must be planned next."""
    family = context.uow.families.find(family_id)
    if family is None or family.state == "discharged":
        return
    if family.state == "paused":
        if family.paused_until is None or family.paused_until > context.now:
            return
        context.uow.families.end_pause(family_id)
    version = context.uow.plans.current(family_id)
    if version is None:
        context.uow.families.book_planning(family_id, None)
        return
    today = family.local(context.now).date()
    family = frequency.weigh(context, family, version.plan, today)
    held = held_plan(version.plan, holds.held_now(context, family, version.plan), today)
    open_day = within(held, family.reminder_hours, today)
    plan = open_day or held
    _leave_what_is_not_planned(context, family, plan, today)
    prompts = _prompts_of(context, family, plan, today) if open_day is not None else ()
    context.uow.reminders.replace_planned(
        family_id,
        today,
        [planned_row(prompt, plan, context.slack, pinned=False) for prompt in prompts],
    )
    context.uow.families.book_planning(family_id, start_of(today + timedelta(days=1), family))


def _leave_what_is_not_planned(context: Context, family: Family, plan: Plan, today: date) -> None:
    """A repeat that somebody asked for goes with its activity, where a new plan drops or holds that."""
    for reminder in context.uow.reminders.on_day(family.id, today):
        planned = plan.activity(reminder.activity)
        if planned is not None and not planned.held_on(today):
            continue
        if reminder.state == "planned":
            context.uow.reminders.unpin(family.id, reminder.activity, today)
        elif reminder.state == "sent" and planned is not None:
            sending.close(context, reminder)  # what is held is not asked for by a message that still stands


def _prompts_of(context: Context, family: Family, plan: Plan, today: date) -> Sequence[Prompt]:
    start = max(context.now, family.hold_until or context.now, family.rest_until or context.now)
    if family.local(start).date() != today:
        return ()
    entries = context.uow.reminders.planner_log(family, until=today)
    entries += context.uow.reminders.pinned_on(family, today)
    start_from = family.local(next_minute(start))
    [planned] = plan_heard(
        plan,
        today,
        1,
        entries,
        _receptive(context, family, today),
        start_from=start_from,
        asleep_until=family.local(family.asleep_until)
        if family.asleep_until is not None and family.asleep_until > context.now
        else None,
        budget=family.budget,
    )
    standing = context.uow.reminders.standing_on(family, today)
    earliest = max(start_from, family.asleep_until) if family.asleep_until is not None else start_from
    return keep_standing(plan, planned, standing, entries, start_from=earliest)


def _receptive(context: Context, family: Family, today: date) -> Receptive | None:
    """Return at which times the family answers, by what was heard before today: so a day's reminders stay where they are."""
    if not context.learning or family.keeps_times:
        return None
    before = start_of(today, family)
    heard = context.uow.learned.heard(family, since=today - LEARNED_FROM, before=before)
    return Receptive.of(heard, today, family.zone)


def start_of(local_day: date, family: Family) -> datetime:
    """Return the instant at which a local day begins."""
    return instant_for(local_day, time(0), family.zone)
