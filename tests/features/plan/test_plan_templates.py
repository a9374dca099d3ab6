"""Every template makes a plan that could be sent, asks little of a tired family, and is marked for review."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.activities.library import load_library
from bot.features.plan.checks import findings_of
from bot.features.plan.templates import starting_values, templates
from scheduling.plan import Baby, MinutesADay, Plan, document_of, plan_from
from scheduling.planner import plan_days
from scheduling.sides import AffectedSide
from tests.reading_grade import as_sentences, grade

LIBRARY = load_library()
MONDAY = date(2026, 3, 2)
# Youngest corrected age in weeks at which each is likely to be used.
AGES = {
    "newborn_rest": 1,
    "early_handling": 3,
    "head_turn_preference": 5,
    "head_control": 6,
    "side_lying_rolling": 10,
    "sitting": 14,
}
FAMILY = Plan(
    baby=Baby("Pip", MONDAY, 39, "left"),
    time_zone="America/Halifax",
    awake=((420, 510), (600, 690), (780, 870), (990, 1080), (1110, 1170)),
    feeds=(420, 600, 780, 990),
    moments=(
        ("nappy", (450, 630, 810, 1020)),
        ("dressing", (480,)),
        ("bath", (1120,)),
        ("play", (660, 840, 1050)),
    ),
    quiet=(1200, 420),
)
ALL = pytest.mark.parametrize("name", list(templates()))


def family_of(name: str, affected: str = "left") -> Plan:
    born = MONDAY - timedelta(weeks=AGES[name])
    return replace(FAMILY, baby=Baby("Pip", born, 39, affected))  # type: ignore[arg-type]


def test_the_six_templates_are_there_in_the_order_of_a_babys_first_year() -> None:
    assert list(templates()) == list(AGES)


@ALL
@pytest.mark.parametrize("affected", ["left", "right", "both"])
def test_nothing_stands_against_sending_a_template_to_a_baby_of_its_age(
    name: str, affected: AffectedSide
) -> None:
    plan = templates()[name].started(family_of(name, affected))

    assert plan_from(document_of(plan)) == plan
    assert findings_of(plan, LIBRARY, MONDAY) == ()


@ALL
def test_all_minutes_of_a_template_fit_into_a_usual_week(name: str) -> None:
    plan = templates()[name].started(family_of(name))
    short = [
        (planned.date, target.name, target.short)
        for planned in plan_days(plan, MONDAY, 7)
        for target in planned.targets
        if target.short > 0
    ]

    assert short == []


@ALL
def test_a_template_fits_a_family_whose_care_moments_are_not_known(name: str) -> None:
    plan = templates()[name].started(replace(family_of(name), moments=()))

    assert all(activity.moments is None for activity in plan.activities)


@ALL
def test_no_template_holds_the_arm_moves_and_each_waits_for_review_with_its_sources(name: str) -> None:
    template = templates()[name]

    assert not any(LIBRARY[each.activity].only_if_switched_on for each in template.activities)
    assert template.file.review.status == "needs review by a licensed therapist"
    assert template.file.sources


def test_nothing_moves_the_arm_and_nothing_is_prone_in_the_rest_after_birth() -> None:
    resting = [LIBRARY[each.activity] for each in templates()["newborn_rest"].activities]

    assert not any(known.side == "arm_moved" or known.prone for known in resting)


def test_every_activity_but_the_arm_moves_has_starting_values() -> None:
    switched_on = {name for name, known in LIBRARY.items() if known.only_if_switched_on}

    assert set(starting_values()) == set(LIBRARY) - switched_on
    assert all(isinstance(each.target, MinutesADay) for each in starting_values().values())


@ALL
@pytest.mark.parametrize("language", ["en", "es"])
def test_what_a_template_is_for_reads_at_grade_six_or_lower(name: str, language: str) -> None:
    about = templates()[name].text(language).about

    assert grade(as_sentences(about), language) <= 6
