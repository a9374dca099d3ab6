"""A plan that cannot be done as it says is asked about, with how much of it has room and the change that was tried and helps."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from bot.activities.library import load_library
from bot.features.plan.checks import Finding, Help
from bot.features.plan.therapist_view import finding_shown
from bot.features.plan.workable import cannot_work
from bot.phrases import LANGUAGES, words_for
from scheduling.plan import Activity, Baby, MinutesADay, Plan
from scheduling.planner import plan_days

LIBRARY = load_library()
FIRST = date(2026, 3, 3)
TUMMY = Activity("tummy_time", MinutesADay(30), (5, 10), after_feed=30)
ROLLING = Activity("rolling", MinutesADay(10), (5, 5))
PLAN = Plan(
    Baby("Pip", date(2025, 11, 20), 39, "right"),
    "America/Halifax",
    ((420, 540), (630, 750), (840, 960), (1050, 1170)),
    (430, 640, 850, 1060),
    quiet=(1200, 420),
    activities=(TUMMY, ROLLING),
)


def asked(plan: Plan, before: Plan | None = None) -> tuple[Finding, ...]:
    return cannot_work(plan, LIBRARY, FIRST, before=before)


def with_target(minutes: float) -> Plan:
    return replace(PLAN, activities=(replace(TUMMY, target=MinutesADay(minutes)), ROLLING))


def test_a_plan_that_has_room_is_not_asked_about() -> None:
    assert asked(PLAN) == ()


@pytest.mark.parametrize(
    ("quiet", "minutes"),
    [((1080, 420), 90), ((1200, 600), 120), ((1140, 450), 60), ((0, 450), 30), (None, 0)],
)
def test_time_awake_in_quiet_hours_is_told_in_minutes(quiet: tuple[int, int] | None, minutes: int) -> None:
    told = [each.number for each in asked(replace(PLAN, quiet=quiet)) if each.kind == "awake_in_quiet"]

    assert told == ([minutes] if minutes else [])


@pytest.mark.parametrize("changed", [{"most_prompts": 0}, {"quiet": (420, 419)}])
def test_a_day_without_a_reminder_is_named(changed: dict[str, object]) -> None:
    kinds = {each.kind: each for each in asked(replace(PLAN, **changed))}  # type: ignore[arg-type]

    assert kinds["day_without"].day == FIRST
    assert kinds["starved"].activity in ("tummy_time", "rolling")


def test_an_aim_out_of_reach_says_how_much_has_room_and_what_the_planner_found_to_help() -> None:
    (short,) = [each for each in asked(with_target(60)) if each.kind == "short"]

    assert (short.activity, short.of) == ("tummy_time", 60)
    assert short.number is not None and short.number < 60
    assert short.help is not None and short.help.kind == "prompts" and short.help.number is not None
    (fits,) = plan_days(replace(with_target(60), most_prompts=short.help.number), FIRST, 1)
    (less,) = plan_days(replace(with_target(60), most_prompts=short.help.number - 1), FIRST, 1)
    assert all(row.short <= row.target / 10 for row in fits.targets)
    assert any(row.short > row.target / 10 for row in less.targets)


def test_where_no_single_change_helps_a_lower_aim_is_named() -> None:
    assert {each.help for each in asked(with_target(400))} == {Help("less")}


def test_an_activity_that_its_moments_starve_is_named() -> None:
    starved = replace(PLAN, activities=(TUMMY, replace(ROLLING, moments=("bath",))))

    assert ("starved", "rolling") in [(each.kind, each.activity) for each in asked(starved)]


def test_only_what_a_change_makes_worse_is_asked_about() -> None:
    crowded = with_target(60)

    assert asked(crowded, before=crowded) == ()
    assert asked(replace(crowded, shortest_gap=31), before=crowded) == ()
    assert [each.activity for each in asked(with_target(90), before=crowded)] == ["tummy_time"]
    assert asked(PLAN, before=crowded) == ()


@pytest.mark.parametrize("language", LANGUAGES)
def test_each_is_said_with_its_numbers(language: str) -> None:
    words = words_for(language)
    plans = (with_target(60), replace(PLAN, most_prompts=0), replace(PLAN, quiet=(1080, 420)))
    lines = [
        finding_shown(each, words, lambda name: LIBRARY.name(name, language))
        for plan in plans
        for each in asked(plan)
    ]

    assert lines and all("{" not in line and "❓" in line for line in lines)
    assert any("60 min" in line for line in lines)
