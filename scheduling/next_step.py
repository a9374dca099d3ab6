"""The next step of an activity: whether it is met, and the plan that it would make. Pure; nobody takes it but the therapist."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from scheduling.plan import Activity, Dose, NextStep, Plan
from scheduling.plan.edits import fitted


@dataclass(frozen=True, slots=True)
class Met:
    """A step that is met. days: dates with `minutes` or more, of the last `of`. well, poorly: how often it was so taken."""

    activity: str
    step: NextStep
    days: int
    well: int
    poorly: int


def met_steps(
    plan: Plan,
    today: date,
    minutes: Mapping[str, Mapping[date, float]],
    taken: Mapping[str, Sequence[bool]],
) -> tuple[Met, ...]:
    """Return the steps that are met by the dates before today, in the order of the plan.

    minutes: done, by activity and date. taken: whether it went well, by activity, each time that a carer said, of those dates
    alone. A step to an activity that the plan already holds is not met: it was taken.
    """
    found = []
    for activity in plan.activities:
        step = activity.next_step
        if step is None or activity.held_on(today):
            continue
        if isinstance(step.then, str) and plan.activity(step.then) is not None:
            continue
        done = minutes.get(activity.activity, {})
        dates = (today - timedelta(days=ago) for ago in range(1, step.of + 1))
        days = sum(done.get(each, 0) > 0 and done.get(each, 0) >= step.minutes for each in dates)
        said = taken.get(activity.activity, ())
        well, poorly = sum(said), len(said) - sum(said)
        if days >= step.days and (not step.taken_well or well > poorly):
            found.append(Met(activity.activity, step, days, well, poorly))
    return tuple(found)


def with_next(plan: Plan, name: str, starting: Mapping[str, Activity]) -> Plan | None:
    """Return the plan with the next step of an activity taken; None where it has none.

    Another activity takes the place, with the target, session, weight and dates of the one before and all else, its own next
    step too, from its starting values; it stands in the same goals. Of another dose the step is used up.
    """
    activity = plan.activity(name)
    if activity is None or activity.next_step is None:
        return None
    then = activity.next_step.then
    if isinstance(then, Dose):
        after = replace(
            activity,
            target=activity.target if then.target is None else then.target,
            session=activity.session if then.session is None else then.session,
            next_step=None,
        )
    elif plan.activity(then) is not None:
        return None
    else:
        start = starting.get(then)
        base = replace(activity, activity=then, next_step=None) if start is None else fitted(start, plan)
        after = replace(
            base,
            target=activity.target,
            session=activity.session,
            weight=activity.weight,
            from_=activity.from_,
            until=activity.until,
            easier=base.easier or name,
        )
    activities = tuple(after if each.activity == name else each for each in plan.activities)
    goals = tuple(
        replace(goal, activities=tuple(after.activity if each == name else each for each in goal.activities))
        for goal in plan.goals
    )
    return replace(plan, activities=activities, goals=goals)


def hard_twice(outcomes: Iterable[bool]) -> bool:
    """Say whether the two newest times of an activity were hard. outcomes: the newest first, True where it was."""
    newest = list(outcomes)[:2]
    return len(newest) == 2 and all(newest)
