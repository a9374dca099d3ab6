"""From a plan to its document: plain values, as JSON and YAML hold them."""

from __future__ import annotations

from typing import Any

from scheduling.plan import model as values
from scheduling.plan.next_document import next_document


def clock_of(minute: int) -> str:
    """Return "HH:MM"; the inverse of `minute_of`."""
    return f"{minute // 60:02d}:{minute % 60:02d}"


def document_of(plan: values.Plan) -> dict[str, Any]:
    """Return the plan as JSON values, with every optional field that says something."""
    baby = plan.baby
    document: dict[str, Any] = {
        "baby": {
            "nickname": baby.nickname,
            "born": baby.born.isoformat(),
            "gestation_weeks": baby.gestation_weeks,
            "affected_side": baby.affected_side,
        },
        "time_zone": plan.time_zone,
        "awake": [[clock_of(start), clock_of(end)] for start, end in plan.awake],
        "feeds": [clock_of(at) for at in plan.feeds],
        "moments": {name: [clock_of(at) for at in times] for name, times in plan.moments},
        "most_prompts": plan.most_prompts,
        "shortest_gap": plan.shortest_gap,
        "activities": [_activity_document(each) for each in plan.activities],
    }
    if plan.quiet:
        document["quiet"] = [clock_of(at) for at in plan.quiet]
    if plan.goals:
        document["goals"] = [_goal_document(each) for each in plan.goals]
    if plan.arm_hold is not None:
        document["arm_hold"] = _arm_hold_document(plan.arm_hold)
    return document


def _arm_hold_document(hold: values.ArmHold) -> dict[str, Any]:
    until = {} if hold.until is None else {"until": hold.until.isoformat()}
    return {"reason": hold.reason, "from": hold.from_.isoformat()} | until


def _goal_document(goal: values.Goal) -> dict[str, Any]:
    return {
        "goal": goal.goal,
        "activities": list(goal.activities),
        "target": _target_document(goal.target),
        "weight": goal.weight,
    }


def _target_document(target: values.Target) -> dict[str, Any]:
    match target:
        case values.MinutesADay(minutes):
            return {"minutes": minutes}
        case values.ShareOfAwake(share):
            return {"share_of_awake": share}
        case values.TimesADay(times):
            return {"times": times}


def _activity_document(activity: values.Activity) -> dict[str, Any]:
    side = activity.side
    document: dict[str, Any] = {
        "activity": activity.activity,
        "session": list(activity.session),
        "after_feed": activity.after_feed,
        "before_feed": activity.before_feed,
        "own_gap": activity.own_gap,
        "side": side if isinstance(side, str) else {"affected": side.affected, "unaffected": side.unaffected},
        "weight": activity.weight,
    }
    if activity.target is not None:
        document["target"] = _target_document(activity.target)
    if activity.moments is not None:
        document["moments"] = list(activity.moments)
    if activity.next_step is not None:
        document["next"] = next_document(activity.next_step)
    if activity.easier is not None:
        document["easier"] = activity.easier
    if activity.from_ is not None:
        document["from"] = activity.from_.isoformat()
    if activity.until is not None:
        document["until"] = activity.until.isoformat()
    if activity.when is not None:
        document["when"] = activity.when
    return document
