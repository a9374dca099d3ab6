"""What the day asks: each activity's own target, and the goals that several activities reach together."""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.day import DayShape, target_amount
from scheduling.history import History
from scheduling.plan import Activity, Plan, Target, TimesADay

LEAST_WORTH = 1e-9
"""A target of weight 0 is still planned for, after all others."""


@dataclass(frozen=True, slots=True)
class Demand:
    """One target on one day. name: the activity's or the goal's id. times: it counts sessions, not minutes.

    members: the activities that count toward it, none that is held. target, logged, missing: minutes, or sessions.
    counted: what one of them takes off the weighted shortfall. worth: the same, a little where the weight is 0. had: how many days' targets were met lately and half a prompt
    more, for the rotation (Webster's rule of fair turns).
    """

    name: str
    goal: bool
    times: bool
    members: tuple[str, ...]
    target: float
    logged: float
    missing: float
    counted: float
    worth: float
    had: float


def demands_of(plan: Plan, shape: DayShape, history: History) -> list[Demand]:
    """Return the day's demands: activities' own in the order of the plan, then goals. Held activities ask and give nothing."""
    active = {each.activity: each for each in plan.activities if not each.held_on(shape.day)}
    found = [
        _demand(each.activity, each.target, each.weight, [each], shape, history)
        for each in active.values()
        if each.target is not None
    ]
    for goal in plan.goals:
        members = [active[name] for name in goal.activities if name in active]
        if members:
            found.append(_demand(goal.goal, goal.target, goal.weight, members, shape, history, goal=True))
    return found


def _demand(
    name: str,
    target: Target,
    weight: float,
    members: list[Activity],
    shape: DayShape,
    history: History,
    *,
    goal: bool = False,
) -> Demand:
    times = isinstance(target, TimesADay)
    amount = target_amount(target, shape)
    done = history.times if times else history.minutes
    logged = sum(done[each.activity].get(shape.day, 0) for each in members)
    lately = sum(history.lately(each.activity, shape.day, times=times) for each in members)
    half_a_prompt = 0.5 if times else max(each.session[1] for each in members) / 2
    return Demand(
        name=name,
        goal=goal,
        times=times,
        members=tuple(each.activity for each in members),
        target=amount,
        logged=logged,
        missing=max(0.0, amount - logged),
        counted=weight / amount if amount else 0,
        worth=max(weight, LEAST_WORTH) / amount if amount else 0,
        had=(lately + half_a_prompt) / amount if amount else 0,
    )
