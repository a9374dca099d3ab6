"""Which activities of a plan move or load the weak arm, and the plan as its hold of the arm leaves it. Pure."""

from __future__ import annotations

from bot.activities.library import Library
from scheduling.plan import Plan, arm_rested


def loading_the_arm(plan: Plan, library: Library) -> tuple[str, ...]:
    """Return the activities of a plan that move or load the arm; one that the library does not know may."""
    return tuple(
        each.activity
        for each in plan.activities
        if each.activity not in library or library[each.activity].loads_arm
    )


def rested(plan: Plan, library: Library) -> Plan:
    """Return the plan without what its own hold of the arm keeps back, for whoever plans, counts or shows days."""
    return plan if plan.arm_hold is None else arm_rested(plan, frozenset(loading_the_arm(plan, library)))
