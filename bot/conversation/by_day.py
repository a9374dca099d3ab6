"""What a family is told unasked, and need not know at once, waits for the end of their quiet hours."""

from __future__ import annotations

from datetime import datetime, time

from bot.conversation.desk import Desk
from bot.conversation.quiet_hours import quiet_until
from bot.records import day, outbox
from bot.records.people import Family
from bot.say import Say
from scheduling.plan import Plan


def quiet_ends(plan: Plan, family: Family, now: datetime) -> datetime | None:
    """Return when the family's quiet hours that hold `now` end; None where it is no quiet hour."""
    if plan.quiet is None:
        return None
    start, end = (time(minute // 60, minute % 60) for minute in plan.quiet)
    return quiet_until(start, end, now, family.zone)


async def waits_until(desk: Desk, family: Family) -> datetime | None:
    """Return until when this family is not to be disturbed."""
    version = await day.plan_of(desk.conn, family.id)
    return None if version is None else quiet_ends(version.plan, family, desk.now)


async def say_by_day(desk: Desk, family: Family, say: Say) -> int | None:
    """Say something in a carer's chat, after the family's quiet hours."""
    return await outbox.put(desk.conn, say, desk.now, held_until=await waits_until(desk, family))
