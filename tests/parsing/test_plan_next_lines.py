"""Early hours and next steps in a therapist's line, and the plan after it."""

from __future__ import annotations

from datetime import date

import pytest

from bot.features.plan.therapist_view import plan_text
from bot.phrases import words_for
from scheduling.plan import Dose, MinutesADay, Plan, plan_from
from scheduling.plan.difference import ActivityChanged, changes_between, for_family
from scheduling.plan.model import NextStep
from tests.parsing.plan_lines import plan_after
from tests.scheduling.families import activity, document

PLAN = plan_from(document(activity("tummy_time", 60, (3, 10)), activity("football_hold", 20, (3, 10))))


def after(text: str, plan: Plan = PLAN) -> tuple[Plan, list[tuple[str, str]], tuple[str, ...]]:
    return plan_after(text, plan)


@pytest.mark.parametrize(
    "text",
    [
        "early tummy",
        "tummy time early",
        "tummy soon after waking",
        "boca abajo temprano",
        "tummy early, 60 a day",
    ],
)
def test_an_activity_may_be_wanted_early(text: str) -> None:
    changed, notes, unread = after(text)

    assert [each.when for each in changed.activities] == ["early", None]
    assert (notes, unread) == ([], ())


def test_early_is_taken_back_by_a_word() -> None:
    early, _, _ = after("early tummy")

    assert after("tummy not early", early)[0] == PLAN
    assert after("tummy 40 a day", early)[0].activities[0].when == "early"


STEP = NextStep("forearm_carry", 5, 7, 10, taken_well=True)


@pytest.mark.parametrize(
    ("text", "step"),
    [
        ("next football hold: forearm after 5 of 7 days 10 min taken well", STEP),
        ("Next step football: forearm carry, after 5 days out of 7 with at least 10 min, going well", STEP),
        ("siguiente futbol: antebrazo tras 5 de 7 días 10 min bien tolerado", STEP),
        ("next football hold: forearm after 3 of 5 days", NextStep("forearm_carry", 3, 5, 0)),
        (
            "next football hold: 30 min a day, 5-10 min after 5 of the last 7 days 15 min",
            NextStep(Dose(MinutesADay(30), (5, 10)), 5, 7, 15),
        ),
        ("next football hold: 5-15 min after 4 of 7 days 10 min", NextStep(Dose(None, (5, 15)), 4, 7, 10)),
    ],
)
def test_a_next_step_names_what_comes_and_when(text: str, step: NextStep) -> None:
    changed, notes, unread = after(text)

    assert changed.activities[1].next_step == step
    assert changed.activities[0] == PLAN.activities[0]
    assert (notes, unread) == ([], ())


def test_a_next_step_is_taken_out_by_a_word() -> None:
    stepped, _, _ = after("next football hold: forearm after 5 of 7 days 10 min taken well")

    assert after("no next football hold", stepped)[0] == PLAN


@pytest.mark.parametrize(
    "line",
    [
        "next football hold: snorkel after 5 of 7 days",
        "next football hold: forearm after 9 of 7 days",
        "next football hold: forearm after 5 of 70 days",
        "next football hold: forearm",
        "next football hold: football hold after 5 of 7 days",
        "next football hold: forearm after 5 of 7 days 10 min if the moon is full",
        "next football hold",
        "no next football hold: forearm after 5 of 7 days",
    ],
)
def test_a_next_step_that_is_not_wholly_understood_changes_nothing(line: str) -> None:
    changed, _, unread = after(f"{line}\ntummy 40 a day")

    assert changed.activities[1] == PLAN.activities[1]
    assert changed.activities[0].target == MinutesADay(40)
    assert unread == (line,)


def test_a_next_step_of_an_activity_that_the_plan_lacks_is_told() -> None:
    assert after("next rolling: forearm after 5 of 7 days 10 min")[:2] == (PLAN, [("not_in_plan", "rolling")])


def test_next_weekday_is_still_a_date() -> None:
    assert after("tummy 40 a day from next Monday")[0].activities[0].from_ == date(2026, 3, 9)


def test_the_next_step_is_a_difference_for_the_therapist_and_not_for_the_family() -> None:
    stepped, _, _ = after("next football hold: forearm after 5 of 7 days 10 min taken well\nearly tummy")
    changes = changes_between(PLAN, stepped)

    assert ActivityChanged("football_hold", "next_step", None, STEP) in changes
    assert for_family(changes) == (ActivityChanged("tummy_time", "when", None, "early"),)


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "↳ then forearm_carry, after 10 min or more (days: 5 of 7), taken well"),
        ("es", "↳ luego forearm_carry, tras 10 min o más (días: 5 de 7), bien tolerado"),
    ],
)
def test_the_plan_shows_its_next_steps(language: str, said: str) -> None:
    stepped, _, _ = after("next football hold: forearm after 5 of 7 days 10 min taken well")

    assert said in plan_text(stepped, PLAN, words_for(language), str)
