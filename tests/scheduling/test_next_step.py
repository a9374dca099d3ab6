"""The next step of an activity: read, written, met, and the plan that it makes."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from scheduling.next_step import Met, hard_twice, met_steps, with_next
from scheduling.plan import Activity, Dose, MinutesADay, Plan, PlanProblems, document_of, plan_from
from tests.scheduling.families import activity, document

TODAY = date(2026, 3, 9)
WHEN = {"days": 3, "of": 5, "minutes": 10, "taken": "well"}
LADDER = document(
    activity("side_hold", 15, next={"then": "forearm", "when": WHEN}, easier="lap"),
    activity("sitting", 10, next={"then": {"target": {"minutes": 20}, "session": [5, 8]}, "when": WHEN}),
)
WELL = [True, True, False]


def days(minutes: float, *ago: int) -> dict[date, float]:
    return {TODAY - timedelta(days=each): minutes for each in ago}


def met(plan: Plan, minutes: dict[date, float], taken: list[bool]) -> tuple[Met, ...]:
    return met_steps(plan, TODAY, {"side_hold": minutes}, {"side_hold": taken})


def test_the_document_keeps_ladders() -> None:
    plan = plan_from(LADDER)

    assert plan_from(document_of(plan)) == plan
    step = plan.activities[1].next_step
    assert step is not None and step.then == Dose(MinutesADay(20), (5, 8))


@pytest.mark.parametrize(
    ("minutes", "taken", "is_met"),
    [
        (days(10, 1, 2, 3), WELL, True),
        (days(12, 1, 3, 5), WELL, True),
        (days(9, 1, 2, 3), WELL, False),
        (days(10, 1, 2), WELL, False),
        (days(10, 1, 2, 6), WELL, False),  # the sixth date before is past
        (days(10, 0, 1, 2), WELL, False),  # today is not over
        (days(10, 1, 2, 3), [True, False], False),
        (days(10, 1, 2, 3), [], False),
    ],
)
def test_a_step_is_met_by_dates_minutes_and_how_it_was_taken(
    minutes: dict[date, float], taken: list[bool], is_met: bool
) -> None:
    found = met(plan_from(LADDER), minutes, taken)

    assert [each.activity for each in found] == (["side_hold"] if is_met else [])
    assert not found or (found[0].days, found[0].well, found[0].poorly) == (3, 2, 1)


def test_a_step_that_the_plan_already_holds_or_a_held_activity_is_not_met() -> None:
    taken = LADDER | {"activities": [*LADDER["activities"], activity("forearm")]}
    held = LADDER | {"activities": [LADDER["activities"][0] | {"until": "2026-03-01"}]}

    assert met(plan_from(taken), days(10, 1, 2, 3), WELL) == ()
    assert met(plan_from(held), days(10, 1, 2, 3), WELL) == ()


def test_another_activity_takes_the_place_with_the_dose_and_its_own_rules() -> None:
    forearm = Activity("forearm", MinutesADay(5), (2, 3), after_feed=20, side="alternate")

    after = with_next(plan_from(LADDER), "side_hold", {"forearm": forearm})

    assert after is not None
    new = after.activities[0]
    assert (new.activity, new.target, new.session) == ("forearm", MinutesADay(15), (3, 10))
    assert (new.after_feed, new.side, new.next_step, new.easier) == (20, "alternate", None, "side_hold")
    assert after.activities[1:] == plan_from(LADDER).activities[1:]


def test_another_activity_stands_in_the_same_goals() -> None:
    goal = {"goal": "tummy", "activities": ["sitting", "side_hold"], "target": {"minutes": 30}}

    after = with_next(plan_from(LADDER | {"goals": [goal]}), "side_hold", {})

    assert after is not None and after.goals[0].activities == ("sitting", "forearm")


def test_another_dose_changes_the_same_activity_and_is_used_up() -> None:
    after = with_next(plan_from(LADDER), "sitting", {})

    assert after is not None
    assert (after.activities[1].target, after.activities[1].session) == (MinutesADay(20), (5, 8))
    assert with_next(after, "sitting", {}) is None


@pytest.mark.parametrize(
    ("changed", "path"),
    [
        ({"easier": "reach"}, "activities[0].easier"),
        ({"next": {"then": "reach", "when": WHEN}}, "activities[0].next.then"),
        ({"next": {"then": {}, "when": WHEN}}, "activities[0].next.then"),
        ({"next": {"then": {"session": [9, 3]}, "when": WHEN}}, "activities[0].next.then.session"),
        ({"next": {"then": {"target": {}}, "when": WHEN}}, "activities[0].next.then.target"),
        ({"next": {"then": "roll", "when": WHEN | {"days": 6}}}, "activities[0].next.when.days"),
        ({"next": {"then": "roll", "when": WHEN | {"of": 0}}}, "activities[0].next.when.of"),
        ({"next": {"then": "roll", "when": WHEN | {"taken": "badly"}}}, "activities[0].next.when.taken"),
        ({"next": {"then": "roll"}}, "activities[0].next.when"),
    ],
)
def test_what_cannot_be_a_ladder_is_named(changed: dict[str, Any], path: str) -> None:
    with pytest.raises(PlanProblems) as found:
        plan_from(document(activity() | changed))

    assert [each.path for each in found.value.problems] == [path]


@pytest.mark.parametrize(
    ("outcomes", "hard"),
    [([True, True], True), ([True, True, False], True), ([True, False, True], False), ([True], False)],
)
def test_hard_twice_running_is_seen_by_the_two_newest(outcomes: list[bool], hard: bool) -> None:
    assert hard_twice(outcomes) is hard
