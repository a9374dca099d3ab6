"""Activities held for a while, as data: the plan stays as the therapist wrote it."""

from __future__ import annotations

from collections.abc import Callable
from collections.abc import Set as AbstractSet
from dataclasses import replace
from datetime import date, timedelta

from scheduling.plan.model import Activity, Plan


def held_plan(plan: Plan, activities: AbstractSet[str], day: date) -> Plan:
    """Return the plan as it holds on a local day on which some activities may not be prompted; all else is as it was.

    activities: ids; one that the plan does not hold changes nothing.
    """
    if not activities:
        return plan
    first = day + timedelta(days=1)
    return _with_each(
        plan,
        activities,
        lambda each: replace(each, from_=first if each.from_ is None else max(first, each.from_)),
    )


def arm_rested(plan: Plan, activities: AbstractSet[str]) -> Plan:
    """Return the plan as its own hold of the arm leaves it, on every date: some activities end before the hold begins.

    activities: ids of those that move or load the arm. The hold's own last date ends nothing, so neither does this.
    """
    if plan.arm_hold is None:
        return plan
    last = plan.arm_hold.from_ - timedelta(days=1)
    return _with_each(
        plan,
        activities,
        lambda each: replace(each, until=last if each.until is None else min(last, each.until)),
    )


def _with_each(plan: Plan, activities: AbstractSet[str], changed: Callable[[Activity], Activity]) -> Plan:
    """Return the plan with the named activities changed, in their places."""
    return replace(
        plan,
        activities=tuple(changed(each) if each.activity in activities else each for each in plan.activities),
    )
