"""What is different between two versions of a plan, as values. Pure.

Weights, what comes next, and the facts by which a baby's age is counted, are the therapist's tools: a family is not told of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from scheduling.plan.model import Activity, Plan

ActivityField = Literal[
    "target",
    "session",
    "side",
    "moments",
    "from_",
    "until",
    "after_feed",
    "before_feed",
    "own_gap",
    "weight",
    "when",
    "next_step",
]
DayField = Literal[
    "awake", "feeds", "moments", "quiet", "time_zone", "most_prompts", "shortest_gap", "goals", "arm_hold"
]
BabyField = Literal["nickname", "born", "gestation_weeks", "affected_side"]

ACTIVITY_FIELDS: tuple[ActivityField, ...] = (
    "target", "session", "side", "moments", "from_", "until", "after_feed", "before_feed", "own_gap", "weight", "when",
    "next_step",
)  # fmt: skip
DAY_FIELDS: tuple[DayField, ...] = (
    "awake", "feeds", "moments", "quiet", "time_zone", "most_prompts", "shortest_gap", "goals", "arm_hold",
)  # fmt: skip
BABY_FIELDS: tuple[BabyField, ...] = ("nickname", "born", "gestation_weeks", "affected_side")
THERAPISTS_OWN = frozenset({"weight", "next_step", "born", "gestation_weeks"})


@dataclass(frozen=True, slots=True)
class Added:
    activity: Activity


@dataclass(frozen=True, slots=True)
class Removed:
    activity: Activity


@dataclass(frozen=True, slots=True)
class ActivityChanged:
    """One field of an activity that both versions hold. before, after: values as in scheduling.plan.Activity."""

    activity: str
    field: ActivityField
    before: Any
    after: Any


@dataclass(frozen=True, slots=True)
class DayChanged:
    """One field of the day's shape. before, after: values as in scheduling.plan.Plan."""

    field: DayField
    before: Any
    after: Any


@dataclass(frozen=True, slots=True)
class BabyChanged:
    field: BabyField
    before: Any
    after: Any


Change = Added | Removed | ActivityChanged | DayChanged | BabyChanged


def changes_between(before: Plan, after: Plan) -> tuple[Change, ...]:
    """Return the changes from one version to the next: new activities, those gone, those changed, then the day's shape.

    Within each, the order is that of the plan. Two plans that differ in nothing give ().
    """
    return (*_activities(before, after), *_day(before, after), *_baby(before, after))


def for_family(changes: tuple[Change, ...]) -> tuple[Change, ...]:
    """Return the changes that a family is told of."""
    return tuple(change for change in changes if getattr(change, "field", None) not in THERAPISTS_OWN)


def _activities(before: Plan, after: Plan) -> Iterator[Change]:
    yield from (Added(each) for each in after.activities if before.activity(each.activity) is None)
    yield from (Removed(each) for each in before.activities if after.activity(each.activity) is None)
    for new in after.activities:
        old = before.activity(new.activity)
        if old is None:
            continue
        for field in ACTIVITY_FIELDS:
            if getattr(old, field) != getattr(new, field):
                yield ActivityChanged(new.activity, field, getattr(old, field), getattr(new, field))


def _day(before: Plan, after: Plan) -> Iterator[DayChanged]:
    for field in DAY_FIELDS:
        if _comparable(before, field) != _comparable(after, field):
            yield DayChanged(field, getattr(before, field), getattr(after, field))


def _comparable(plan: Plan, field: DayField) -> Any:
    """Return a field so that what says the same is equal: the order of moments, and empty ones, say nothing."""
    if field == "moments":
        return {name: times for name, times in plan.moments if times}
    return getattr(plan, field)


def _baby(before: Plan, after: Plan) -> Iterator[BabyChanged]:
    for field in BABY_FIELDS:
        if getattr(before.baby, field) != getattr(after.baby, field):
            yield BabyChanged(field, getattr(before.baby, field), getattr(after.baby, field))
