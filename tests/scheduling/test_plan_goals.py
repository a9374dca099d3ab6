"""Goals, times and early hours in the plan document: what is read, what is refused, and where the error points."""

from __future__ import annotations

from typing import Any

import pytest

from scheduling.plan import Goal, MinutesADay, PlanProblems, ShareOfAwake, TimesADay, plan_from
from tests.scheduling.families import activity, document


def paths(made: dict[str, Any]) -> list[str]:
    with pytest.raises(PlanProblems) as raised:
        plan_from(made)
    return [problem.path for problem in raised.value.problems]


def goal(**rest: Any) -> dict[str, Any]:
    return {"goal": "tummy", "activities": ["firm", "lap"], "target": {"share_of_awake": 0.5}} | rest


def two(**firm: Any) -> list[dict[str, Any]]:
    lap = activity("lap")
    del lap["target"]
    return [activity("firm", **firm), lap]


def test_half_of_waking_time_in_two_forms_with_a_part_of_its_own_for_one() -> None:
    plan = plan_from(document(*two(), goals=[goal()]))

    assert plan.goals == (Goal("tummy", ("firm", "lap"), ShareOfAwake(0.5)),)
    assert [each.target for each in plan.activities] == [MinutesADay(20), None]


def test_a_target_may_count_times_of_a_day() -> None:
    plan = plan_from(document(activity() | {"target": {"times": 6}}))

    assert plan.activities[0].target == TimesADay(6)


@pytest.mark.parametrize(
    ("goals", "path"),
    [
        ([goal(activities=["firm", "lapp", "lap"])], "goals[0].activities[1]"),
        ([goal(activities=["firm", "lap", "firm"])], "goals[0].activities[2]"),
        ([goal(activities=[]), goal(goal="other")], "goals[0].activities"),
        ([goal(), goal()], "goals[1].goal"),
        ([goal(activities=["firm"])], "activities[1].target"),
        ([goal(goal=" ")], "goals[0].goal"),
        ([goal(target={"times": 25})], "goals[0].target.times"),
        ([goal(target={"times": 2.5})], "goals[0].target.times"),
        ([goal(target={})], "goals[0].target"),
        ([goal(weight=-1)], "goals[0].weight"),
        ([goal(until="2026-03-01")], "goals[0].until"),
    ],
)
def test_each_wrong_goal_is_one_error_that_names_its_place(goals: list[dict[str, Any]], path: str) -> None:
    assert paths(document(*two(), goals=goals)) == [path]


def test_an_activity_with_neither_target_nor_goal_is_an_error() -> None:
    assert paths(document(*two())) == ["activities[1].target"]


def test_when_is_early_or_nothing() -> None:
    assert plan_from(document(activity(when="early"))).activities[0].when == "early"
    assert paths(document(activity(when="late"))) == ["activities[0].when"]
