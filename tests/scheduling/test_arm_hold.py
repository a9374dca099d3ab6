"""A plan's hold of the arm: its document, what it keeps back, and that its date ends nothing."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.activities.arm import rested
from bot.activities.library import load_library
from scheduling.plan import (
    Activity,
    ArmHold,
    Baby,
    MinutesADay,
    Plan,
    PlanProblems,
    arm_rested,
    document_of,
    plan_from,
)
from scheduling.plan.difference import DayChanged, changes_between, for_family
from scheduling.plan.edits import DayChange, applied
from scheduling.planner import plan_days

DAY = date(2026, 3, 3)
HOLD = ArmHold("fracture", DAY, DAY + timedelta(days=14))
PLAN = Plan(
    Baby("Pip", date(2025, 11, 20), 39, "right"),
    "America/Halifax",
    ((420, 540), (600, 720), (900, 1020)),
    activities=(
        Activity("tummy_time", MinutesADay(10), (5, 5), until=DAY + timedelta(days=100)),
        Activity("head_turning", MinutesADay(10), (5, 5)),
    ),
    arm_hold=HOLD,
)


@pytest.mark.parametrize("until", [None, DAY + timedelta(days=14)])
def test_the_document_holds_it_both_ways(until: date | None) -> None:
    plan = replace(PLAN, arm_hold=ArmHold("cast", DAY, until))
    assert plan_from(document_of(plan)) == plan


@pytest.mark.parametrize(
    ("hold", "path"),
    [
        ({"reason": "cold", "from": "2026-03-03"}, "arm_hold.reason"),
        ({"reason": "cast"}, "arm_hold.from"),
        ({"reason": "cast", "from": "2026-03-03", "until": "2026-03-02"}, "arm_hold.until"),
        ({"reason": "cast", "from": "soon"}, "arm_hold.from"),
        ({"reason": "cast", "from": "2026-03-03", "til": "2026-03-04"}, "arm_hold.til"),
    ],
)
def test_each_problem_names_its_place(hold: dict[str, str], path: str) -> None:
    with pytest.raises(PlanProblems) as caught:
        plan_from(document_of(PLAN) | {"arm_hold": hold})
    assert [each.path for each in caught.value.problems] == [path]


def test_nothing_for_the_arm_is_prompted_from_the_first_date_on_and_its_last_date_ends_nothing() -> None:
    plan = rested(replace(PLAN, arm_hold=replace(HOLD, from_=DAY + timedelta(days=2))), load_library())
    days = plan_days(plan, DAY, 60, ())
    asked = [{prompt.activity for prompt in day.prompts} for day in days]
    assert all("tummy_time" in each for each in asked[:2])
    assert all("tummy_time" not in each and "head_turning" in each for each in asked[2:])


def test_an_earlier_last_date_of_an_activity_stays() -> None:
    early = replace(PLAN.activities[0], until=DAY - timedelta(days=30))
    plan = arm_rested(replace(PLAN, activities=(early,)), {"tummy_time"})
    assert plan.activities == (early,)


def test_it_is_placed_and_ended_by_an_edit_and_told_to_the_family() -> None:
    free = replace(PLAN, arm_hold=None)
    assert applied(free, [DayChange(arm_hold=HOLD)], {}) == (PLAN, ())
    assert applied(PLAN, [DayChange(no_arm_hold=True)], {}) == (free, ())
    assert applied(PLAN, [DayChange(most_prompts=3)], {})[0].arm_hold == HOLD
    assert for_family(changes_between(free, PLAN)) == (DayChanged("arm_hold", None, HOLD),)
