"""What is different between two versions of a plan."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.plan import Activity, Baby, MinutesADay, Plan, Ratio, ShareOfAwake
from scheduling.plan.difference import (
    ACTIVITY_FIELDS,
    ActivityChanged,
    Added,
    BabyChanged,
    DayChanged,
    Removed,
    changes_between,
    for_family,
)

TUMMY = Activity("tummy_time", ShareOfAwake(0.5), (3, 10), after_feed=30)
HOLD = Activity("football_hold", MinutesADay(15), (5, 5), side="alternate")
PLAN = Plan(
    baby=Baby("Pip", date(2025, 11, 20), 39, "right"),
    time_zone="America/Halifax",
    awake=((420, 540), (630, 750)),
    feeds=(430,),
    moments=(("bath", (1080,)),),
    quiet=(1200, 420),
    activities=(TUMMY, HOLD),
)


def test_the_same_plan_has_no_changes() -> None:
    assert changes_between(PLAN, PLAN) == ()


def test_new_activities_come_first_then_those_gone_then_those_changed() -> None:
    side_lying = Activity("side_lying", MinutesADay(10), (5, 5))
    after = replace(PLAN, activities=(side_lying, replace(TUMMY, target=MinutesADay(40))))

    assert changes_between(PLAN, after) == (
        Added(side_lying),
        Removed(HOLD),
        ActivityChanged("tummy_time", "target", ShareOfAwake(0.5), MinutesADay(40)),
    )


@pytest.mark.parametrize(
    ("field", "value"),
    [("awake", ((420, 560),)), ("feeds", ()), ("moments", ()), ("quiet", None), ("time_zone", "Europe/Madrid"), ("most_prompts", 4), ("shortest_gap", 45)],
)  # fmt: skip
def test_each_field_of_the_day_is_told(field: str, value: Any) -> None:
    after = replace(PLAN, **{field: value})

    assert changes_between(PLAN, after) == (DayChanged(field, getattr(PLAN, field), value),)  # type: ignore[arg-type]


def test_moments_in_another_order_or_with_empty_ones_are_no_change() -> None:
    after = replace(PLAN, moments=(("play", ()), ("bath", (1080,))))

    assert changes_between(PLAN, after) == ()


def test_another_order_of_activities_and_another_weight_are_not_told() -> None:
    changes = changes_between(PLAN, replace(PLAN, activities=(HOLD, replace(TUMMY, weight=5))))

    assert [change.field for change in changes if isinstance(change, ActivityChanged)] == ["weight"]
    assert for_family(changes) == ()


def test_a_new_nickname_is_told() -> None:
    after = replace(PLAN, baby=replace(PLAN.baby, nickname="Pippa"))

    assert changes_between(PLAN, after) == (BabyChanged("nickname", "Pip", "Pippa"),)


ACTIVITIES = st.builds(
    Activity,
    activity=st.sampled_from(["tummy_time", "football_hold", "bath"]),
    target=st.builds(MinutesADay, st.integers(0, 60)) | st.builds(ShareOfAwake, st.sampled_from([0.25, 0.5])),
    session=st.tuples(st.integers(1, 5), st.integers(5, 9)),
    side=st.sampled_from(["none", "affected", "alternate"])
    | st.builds(Ratio, st.integers(1, 3), st.integers(1, 3)),
    own_gap=st.integers(0, 90),
)
PLANS = st.lists(ACTIVITIES, max_size=3, unique_by=lambda each: each.activity).map(
    lambda activities: replace(PLAN, activities=tuple(activities))
)


@given(PLANS, PLANS)
def test_putting_the_changes_into_the_old_plan_gives_the_new_one(before: Plan, after: Plan) -> None:
    kept = {each.activity: each for each in before.activities}
    for change in changes_between(before, after):
        match change:
            case Added(activity):
                kept[activity.activity] = activity
            case Removed(activity):
                del kept[activity.activity]
            case ActivityChanged(name, field, _, value):
                kept[name] = replace(kept[name], **{field: value})

    told = {name: tuple(getattr(each, field) for field in ACTIVITY_FIELDS) for name, each in kept.items()}
    wanted = {
        each.activity: tuple(getattr(each, field) for field in ACTIVITY_FIELDS) for each in after.activities
    }
    assert told == wanted
