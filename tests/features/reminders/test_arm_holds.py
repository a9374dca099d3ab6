"""When a concern holds the arm's activities, and which those are."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.activities.arm import loading_the_arm
from bot.activities.library import load_library
from bot.domain.actor import Actor
from bot.domain.ids import CarerId, TherapistId
from bot.domain.plans import PlanVersion
from bot.features.reminders.holds import holding
from scheduling.plan import Activity, ArmHold, Baby, MinutesADay, Plan
from tests.features.concerns.cases import NOW, concern

HOUR = timedelta(hours=1)
BABY = Baby("Pip", date(2025, 11, 20), 39, "right")


def plan_of(*activities: str) -> Plan:
    return Plan(
        BABY,
        "America/Halifax",
        ((420, 540),),
        activities=tuple(Activity(each, MinutesADay(10), (5, 5)) for each in activities),
    )


def version(made_by: Actor, hours: float) -> PlanVersion:
    return PlanVersion(1, plan_of("tummy_time"), {}, NOW + hours * HOUR, made_by, None)


def test_what_moves_or_loads_the_arm_is_held_and_an_unknown_activity_too() -> None:
    plan = plan_of("tummy_time", "football_hold", "gentle_range", "head_turning", "of_the_clinic")
    held = ("tummy_time", "football_hold", "gentle_range", "of_the_clinic")
    assert loading_the_arm(plan, load_library()) == held


@pytest.mark.parametrize(
    ("topics", "holds"),
    [
        (("arm_painful",), True),
        (("arm_swollen",), True),
        (("arm_pop_or_pull",), True),
        (("arm_colour",), True),
        (("arm_not_moving",), True),
        (("fall",), True),
        (("vomiting", "arm_painful"), True),
        (("arm_as_before",), False),
        (("vomiting",), False),
        (("carer_distress",), False),
    ],
)
def test_a_concern_about_the_arm_holds(topics: tuple[str, ...], holds: bool) -> None:
    assert bool(holding([concern(topics=topics)], [])) is holds


@pytest.mark.parametrize(
    ("made_by", "hours", "holds"),
    [
        (Actor.therapist(TherapistId("t1")), -1, True),
        (Actor.therapist(TherapistId("t1")), 1, False),
        (Actor.carer(CarerId("c1")), 1, True),
    ],
)
def test_only_a_later_plan_of_a_therapist_ends_it(made_by: Actor, hours: float, holds: bool) -> None:
    assert bool(holding([concern(topics=("arm_painful",))], [version(made_by, hours)])) is holds


def test_a_plan_that_only_places_or_ends_its_own_hold_says_nothing_of_a_concern() -> None:
    before = PlanVersion(1, plan_of("tummy_time"), {}, NOW - HOUR, Actor.therapist(TherapistId("t1")), None)
    resting = replace(before.plan, arm_hold=ArmHold("cast", date(2026, 3, 1)))
    placed = PlanVersion(2, resting, {}, NOW + HOUR, Actor.therapist(TherapistId("t1")), None)
    ended = PlanVersion(3, before.plan, {}, NOW + 2 * HOUR, Actor.therapist(TherapistId("t1")), None)
    assert holding([concern(topics=("arm_painful",))], [before, placed, ended])
