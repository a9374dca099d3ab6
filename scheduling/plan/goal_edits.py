"""Changes to a plan's goals, as values, and the plan after them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from scheduling.plan.model import Activity, Goal, Plan, Target


@dataclass(frozen=True, slots=True)
class GoalChange:
    """What is to be different about one goal; it is added where the plan does not hold it.

    target: None leaves it as it is. activities: ids; () leaves them as they are. One that the plan does not hold is added.
    """

    goal: str
    target: Target | None
    activities: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class GoalRemoval:
    goal: str


@dataclass(frozen=True, slots=True)
class Edited:
    """A plan after a change of its goals. started: activities added from starting values. unknown: those without any, left
    out. targeted: activities that no goal asks for any more, given their starting target. dropped: such without one, taken out.
    """

    plan: Plan
    started: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    targeted: tuple[str, ...] = ()
    dropped: tuple[str, ...] = ()


def goal_changed(plan: Plan, change: GoalChange, starting: Mapping[str, Activity]) -> Edited:
    """Return the plan with one goal added or changed. Nothing is changed where no target or no activity is left for it."""
    present = next((each for each in plan.goals if each.goal == change.goal), None)
    unknown = tuple(
        each for each in change.activities if plan.activity(each) is None and each not in starting
    )
    members = tuple(each for each in change.activities if each not in unknown)
    members = members or (present.activities if present else ())
    target = change.target or (present.target if present else None)
    if target is None or not members:
        return Edited(plan, unknown=unknown)
    added = tuple(each for each in members if plan.activity(each) is None)
    goal = Goal(change.goal, members, target, present.weight if present else 1)
    goals = tuple(goal if each.goal == change.goal else each for each in plan.goals)
    edited = replace(
        plan,
        activities=(*plan.activities, *(replace(starting[each], target=None) for each in added)),
        goals=goals if present else (*goals, goal),
    )
    return replace(without_orphans(edited, starting), started=added, unknown=unknown)


def goal_removed(plan: Plan, goal: str, starting: Mapping[str, Activity]) -> Edited:
    """Return the plan without one goal."""
    kept = tuple(each for each in plan.goals if each.goal != goal)
    return without_orphans(replace(plan, goals=kept), starting)


def activity_left_goals(plan: Plan, activity: str) -> Plan:
    """Return the plan whose goals do not hold one activity; a goal of that one alone is gone."""
    kept = (
        replace(each, activities=tuple(name for name in each.activities if name != activity))
        for each in plan.goals
    )
    return replace(plan, goals=tuple(each for each in kept if each.activities))


def without_orphans(plan: Plan, starting: Mapping[str, Activity]) -> Edited:
    """See to activities that have neither a target nor a goal: no plan may hold them."""
    asked = {name for goal in plan.goals for name in goal.activities}
    kept, targeted, dropped = [], [], []
    for each in plan.activities:
        start = starting.get(each.activity)
        if each.target is not None or each.activity in asked:
            kept.append(each)
        elif start is not None and start.target is not None:
            kept.append(replace(each, target=start.target))
            targeted.append(each.activity)
        else:
            dropped.append(each.activity)
    return Edited(replace(plan, activities=tuple(kept)), targeted=tuple(targeted), dropped=tuple(dropped))
