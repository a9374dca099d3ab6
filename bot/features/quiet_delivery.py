"""What a family is told unasked, and need not know at once, waits for the end of their quiet hours."""

from __future__ import annotations

from datetime import datetime, time

from bot.domain.ids import OutboxId
from bot.domain.outgoing import OutgoingMessage
from bot.domain.people import Family
from bot.domain.quiet_hours import quiet_until
from bot.features.context import Context
from scheduling.plan import Plan


def quiet_ends(plan: Plan, family: Family, now: datetime) -> datetime | None:
    """Return when the family's quiet hours that hold `now` end; None where it is no quiet hour."""
    if plan.quiet is None:
        return None
    start, end = (time(minute // 60, minute % 60) for minute in plan.quiet)
    return quiet_until(start, end, now, family.zone)


def waits_until(context: Context, family: Family) -> datetime | None:
    """Return until when this family is not to be disturbed."""
    version = context.uow.plans.current(family.id)
    return None if version is None else quiet_ends(version.plan, family, context.now)


def say_by_day(context: Context, family: Family, say: OutgoingMessage) -> OutboxId | None:
    """Say something in a carer's chat, after the family's quiet hours."""
    return context.uow.outbox.put(say, context.now, held_until=waits_until(context, family))
