"""A family's day, from plan and log to reminders that wait for their time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, datetime, time, timedelta
from typing import Any

from bot.domain.people import Family
from bot.domain.reminders import Reminder
from bot.features.context import Context
from bot.features.reminders import frequency
from scheduling.again import earliest_prompt, keep_standing, latest_start
from scheduling.localtime import instant_for
from scheduling.plan import Plan
from scheduling.planner import Prompt, plan_day

# A reminder may come this late and no later: the moment that it was planned for is over.
WINDOW = timedelta(minutes=30)


def plan_family(context: Context, family_id: str) -> None:
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
    _leave_what_is_not_planned(context, family, version.plan, today)
    prompts = _prompts_of(context, family, version.plan, today)
    context.uow.reminders.replace_planned(
        family_id, today, [_row(prompt, version.plan, today, context.slack) for prompt in prompts]
    )
    context.uow.families.book_planning(family_id, start_of(today + timedelta(days=1), family))


def _leave_what_is_not_planned(context: Context, family: Family, plan: Plan, today: date) -> None:
    """A repeat that somebody asked for goes with its activity, where a new plan drops or holds that."""
    for reminder in context.uow.reminders.on_day(family.id, today):
        planned = plan.activity(reminder.activity)
        if reminder.state == "planned" and (planned is None or planned.held_on(today)):
            context.uow.reminders.unpin(family.id, reminder.activity, today)


def _prompts_of(context: Context, family: Family, plan: Plan, today: date) -> Sequence[Prompt]:
    start = context.now if family.hold_until is None else max(context.now, family.hold_until)
    if family.local(start).date() != today:
        return ()
    entries = context.uow.reminders.planner_log(family, until=today)
    entries += context.uow.reminders.pinned_on(family, today)
    start_from = family.local(_next_minute(start))
    planned = plan_day(
        plan,
        today,
        entries,
        start_from=start_from,
        asleep_until=family.local(family.asleep_until)
        if family.asleep_until is not None and family.asleep_until > context.now
        else None,
        budget=family.budget,
    )
    standing = context.uow.reminders.standing_on(family, today)
    earliest = max(start_from, family.asleep_until) if family.asleep_until is not None else start_from
    return keep_standing(plan, planned, standing, entries, start_from=earliest)


def _next_minute(instant: datetime) -> datetime:
    floor = instant.replace(second=0, microsecond=0)
    return floor if floor == instant else floor + timedelta(minutes=1)


def start_of(local_day: date, family: Family) -> datetime:
    """Return the instant at which a local day begins."""
    return instant_for(local_day, time(0), family.zone)


def _row(prompt: Prompt, plan: Plan, today: date, slack: timedelta) -> dict[str, Any]:
    at = prompt.at
    late = min(at + WINDOW, latest_start(plan, prompt))
    return {
        "activity": prompt.activity,
        "side": prompt.side,
        "minutes": prompt.minutes,
        "moment": prompt.moment,
        "because": asdict(prompt.because),
        "due_at": at,
        "late_after": max(late, at + timedelta(minutes=2)) + slack,
        "pinned": False,
    }


def bring_back(
    context: Context, family: Family, plan: Plan, reminder: Reminder, not_before: datetime
) -> datetime | None:
    """Plan one more prompt like `reminder` at the first moment that the plan allows; None where today has none left."""
    today = family.local(context.now).date()
    entries = context.uow.reminders.planner_log(family, until=today)
    prompt = earliest_prompt(
        plan,
        today,
        reminder.activity,
        entries,
        not_before=family.local(_next_minute(not_before)),
        side=reminder.side,
        minutes=int(reminder.minutes),
    )
    if prompt is not None:
        values = _row(prompt, plan, today, context.slack) | {"pinned": True}
        context.uow.reminders.add_planned(family.id, today, [values])
    context.uow.families.request_replan(family.id, context.now)
    return None if prompt is None else prompt.at
