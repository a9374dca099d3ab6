"""Goals in a therapist's line, and the plan after it."""

from __future__ import annotations

import pytest

from bot.parsing.plan_line.reader import read_plan_words
from scheduling.plan import Goal, MinutesADay, Plan, ShareOfAwake, Target, TimesADay, plan_from
from scheduling.plan.goal_edits import GoalChange, GoalRemoval
from tests.parsing.plan_lines import NAMES, TODAY, plan_after
from tests.scheduling.families import activity, document

PLAN = plan_from(document(activity("tummy_time", 60, (3, 10))))
TUMMY = ("tummy_time", "lap_tummy_time", "forearm_carry")


def after(text: str, plan: Plan = PLAN) -> tuple[Plan, list[tuple[str, str]], tuple[str, ...]]:
    return plan_after(text, plan)


@pytest.mark.parametrize(
    ("text", "target"),
    [
        ("goal tummy half of waking: tummy, lap, forearm", ShareOfAwake(0.5)),
        ("Goal tummy 40 % of the time awake: tummy time, lap and forearm", ShareOfAwake(0.4)),
        ("goal tummy 240 min a day: tummy, lap, forearm", MinutesADay(240)),
        ("goal tummy 6 times a day: tummy, lap, forearm", TimesADay(6)),
        ("Goal: tummy for 90 minutes a day: tummy, lap, forearm", MinutesADay(90)),
        ("objetivo: tummy durante 90 min al dia: tummy, lap, forearm", MinutesADay(90)),
        ("meta tummy la mitad del tiempo despierto: boca abajo, regazo, antebrazo", ShareOfAwake(0.5)),
    ],
)
def test_a_goal_is_named_before_its_target_and_its_activities_after_a_colon(
    text: str, target: Target
) -> None:
    changed, notes, unread = after(text)

    assert changed.goals == (Goal("tummy", TUMMY, target),)
    assert [each.target for each in changed.activities] == [MinutesADay(60), None, None]
    assert notes == [("started", "lap_tummy_time"), ("started", "forearm_carry")]
    assert unread == ()


def test_a_goal_of_the_plan_may_be_changed_in_part() -> None:
    plan, _, _ = after("goal tummy half of waking: tummy, lap, forearm")

    assert after("goal Tummy 90 min a day", plan)[0].goals == (Goal("tummy", TUMMY, MinutesADay(90)),)
    assert after("goal tummy: tummy, lap", plan)[0].goals == (Goal("tummy", TUMMY[:2], ShareOfAwake(0.5)),)


def test_an_activity_whose_goal_is_gone_gets_its_starting_target_and_this_is_told() -> None:
    plan, _, _ = after("goal tummy half of waking: tummy, lap, forearm")
    changed, notes, _ = after("remove goal tummy", plan)

    assert changed.goals == ()
    assert all(each.target is not None for each in changed.activities)
    assert notes == [("started", "lap_tummy_time"), ("started", "forearm_carry")]


def test_an_activity_that_is_taken_out_leaves_its_goals_and_an_empty_goal_goes() -> None:
    plan, _, _ = after("goal tummy half of waking: tummy, lap")
    without_lap, _, _ = after("remove lap", plan)

    assert [goal.activities for goal in without_lap.goals] == [("tummy_time",)]
    assert after("remove tummy time", without_lap)[0].goals == ()


def test_what_is_not_understood_comes_back_and_the_rest_is_done() -> None:
    changed, _, unread = after("goal tummy half awake: snorkel, lap\ngoal: lap\ntummy 40 a day")

    assert changed.goals == (Goal("tummy", ("lap_tummy_time",), ShareOfAwake(0.5)),)
    assert changed.activities[0].target == MinutesADay(40)
    assert unread == ("snorkel", "goal: lap")


def test_a_goal_that_the_plan_does_not_hold_is_not_taken_out() -> None:
    read = read_plan_words("remove goal bath", PLAN, TODAY, NAMES)

    assert (read.changes, read.unread) == ((), ("remove goal bath",))
    assert read_plan_words("goal arm 3 times a day: bath", PLAN, TODAY, NAMES).changes == (
        GoalChange("arm", TimesADay(3), ("bath",)),
    )
    plan, _, _ = after("goal arm 3 times a day: bath")
    assert read_plan_words("no goal arm", plan, TODAY, NAMES).changes == (GoalRemoval("arm"),)


def test_times_at_a_care_moment_are_counted_as_times() -> None:
    changed, _, unread = after("rolling 6 times a day at nappy changes")

    assert changed.activities[-1].target == TimesADay(6)
    assert unread == ()
