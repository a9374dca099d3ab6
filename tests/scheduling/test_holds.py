"""A hold moves the first day of what it holds, and nothing else of the plan."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from scheduling.plan import Activity, Baby, MinutesADay, Plan, held_plan

DAY = date(2026, 3, 3)
TUMMY = Activity("tummy_time", MinutesADay(40), (5, 10))
CARRY = Activity("upright_carry", MinutesADay(15), (5, 5))
PLAN = Plan(
    Baby("Pip", date(2025, 11, 20), 39, "right"), "America/Halifax", ((420, 540),), activities=(TUMMY, CARRY)
)


@pytest.mark.parametrize(
    ("held", "on_day"),
    [
        (set(), {"tummy_time": False, "upright_carry": False}),
        ({"tummy_time"}, {"tummy_time": True, "upright_carry": False}),
        ({"tummy_time", "upright_carry"}, {"tummy_time": True, "upright_carry": True}),
        ({"rolling"}, {"tummy_time": False, "upright_carry": False}),
    ],
)
def test_held_activities_may_not_be_prompted_on_the_day(held: set[str], on_day: dict[str, bool]) -> None:
    plan = held_plan(PLAN, held, DAY)
    assert {each.activity: each.held_on(DAY) for each in plan.activities} == on_day
    assert replace(plan, activities=PLAN.activities) == PLAN


def test_a_later_first_day_of_the_therapist_stays() -> None:
    later = replace(PLAN, activities=(replace(TUMMY, from_=date(2026, 4, 1)), CARRY))
    assert held_plan(later, {"tummy_time"}, DAY).activities[0].from_ == date(2026, 4, 1)
