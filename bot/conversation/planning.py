"""A family's day, from plan and log to reminders that wait for their time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, datetime, time, timedelta
from typing import Any

from bot.conversation.carer import load
from bot.conversation.desk import Desk
from bot.records import day, people
from bot.records.day import Reminder
from bot.records.people import Family
from scheduling.again import earliest_prompt, keep_standing, latest_start
from scheduling.localtime import instant_for
from scheduling.plan import Plan
from scheduling.planner import Prompt, plan_day

# A reminder may come this late and no later: the moment that it was planned for is over.
WINDOW = timedelta(minutes=30)


async def plan_family(desk: Desk, family_id: str) -> None:
    """Plan the rest of a family's day anew, and set when it must be planned next."""
    family = await people.family(desk.conn, family_id)
    if family is None or family.state == "discharged":
        return
    if family.state == "paused":
        if family.paused_until is None or family.paused_until > desk.now:
            return
        await people.change_family(desk.conn, family_id, state="active", paused_until=None)
    version = await day.plan_of(desk.conn, family_id)
    if version is None:
        await people.change_family(desk.conn, family_id, plan_at=None)
        return
    today = family.local(desk.now).date()
    family = await load.weigh(desk, family, version.plan, today)
    await _leave_what_is_not_planned(desk, family, version.plan, today)
    prompts = await _prompts_of(desk, family, version.plan, today)
    await day.replace_planned(
        desk.conn, family_id, today, [_row(prompt, version.plan, today, desk.slack) for prompt in prompts]
    )
    await people.change_family(desk.conn, family_id, plan_at=start_of(today + timedelta(days=1), family))


async def _leave_what_is_not_planned(desk: Desk, family: Family, plan: Plan, today: date) -> None:
    """A repeat that somebody asked for goes with its activity, where a new plan drops or holds that."""
    for reminder in await day.reminders_on(desk.conn, family.id, today):
        planned = plan.activity(reminder.activity)
        if reminder.state == "planned" and (planned is None or planned.held_on(today)):
            await day.unpin(desk.conn, family.id, reminder.activity, today)


async def _prompts_of(desk: Desk, family: Family, plan: Plan, today: date) -> Sequence[Prompt]:
    start = desk.now if family.hold_until is None else max(desk.now, family.hold_until)
    if family.local(start).date() != today:
        return ()
    entries = await day.log_of(desk.conn, family, until=today)
    entries += await day.pinned_on(desk.conn, family, today)
    start_from = family.local(_next_minute(start))
    planned = plan_day(
        plan,
        today,
        entries,
        start_from=start_from,
        asleep_until=family.local(family.asleep_until)
        if family.asleep_until is not None and family.asleep_until > desk.now
        else None,
        budget=family.budget,
    )
    standing = await day.standing_on(desk.conn, family, today)
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


async def bring_back(
    desk: Desk, family: Family, plan: Plan, reminder: Reminder, not_before: datetime
) -> datetime | None:
    """Plan one more prompt like `reminder` at the first moment that the plan allows; None where today has none left."""
    today = family.local(desk.now).date()
    entries = await day.log_of(desk.conn, family, until=today)
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
        values = _row(prompt, plan, today, desk.slack) | {"pinned": True}
        await day.add_planned(desk.conn, family.id, today, [values])
    await day.plan_anew(desk.conn, family.id, desk.now)
    return None if prompt is None else prompt.at
