from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from fhir.resources.R4B.bundle import Bundle
from matplotlib.image import imread

from bot.digest.chart import week_picture
from bot.digest.due import Due, GoalDue
from bot.digest.facts import FamilyFacts
from bot.digest.family_picture import family_week_picture
from bot.digest.fhir import fhir_bundle
from bot.digest.text import family_plain
from bot.digest.week import digest_of
from bot.phrases import words_for
from tests.digest.invented_weeks import MONDAY, facts, name_of, session, week_of

TUMMY = GoalDue("On the tummy", ("tummy_time", "lap_tummy_time"), 90.0)
CHANGES = GoalDue("At changes", ("rolling",), None, 6)


def week(**rest: Any) -> FamilyFacts:
    """A week with a goal of minutes, one of times, and rolling woven into six changes a day."""
    due = (Due("tummy_time", 30.0), Due("lap_tummy_time", None), Due("rolling", None, 0.5, 6))
    return facts(days=week_of(due=due, goals=(TUMMY, CHANGES)), **rest)


def rolled(times: int, *, day: int = 0) -> tuple[Any, ...]:
    return tuple(
        session("rolling", None, side=("left", "right")[n % 2], day=day, hour=8 + n, id=f"r{day}{n}")
        for n in range(times)
    )


def told() -> FamilyFacts:
    return week(
        sessions=(
            *rolled(4),
            session("tummy_time", 30, id="t"),
            session("lap_tummy_time", 22, id="l"),
            session("lap_tummy_time", 10, day=1, id="m"),
        )
    )


def test_an_activity_counted_by_times_is_held_against_times() -> None:
    row = next(a for a in digest_of(told()).activities if a.activity == "rolling")

    assert (row.counts_times, row.sessions, row.known_times, row.target_times) == (True, 4, 12, 42)
    assert row.by_side == (2, 2, 0)
    assert [day.minutes for day in row.bars[:3]] == [4, 0, None]
    assert row.bars[0].target == 6


def test_a_goal_adds_up_its_activities_over_days_with_word() -> None:
    minutes, times = digest_of(told()).goals

    assert (minutes.done, minutes.target) == (62, 180)
    assert minutes.parts == (("lap_tummy_time", 32), ("tummy_time", 30))
    assert (times.times, times.done, times.target) == (True, 4, 12)


def test_the_part_of_a_cut_day_is_asked_of_goals_and_times_too() -> None:
    halved = told()
    halved = replace(halved, days=(replace(halved.days[0], part=0.5), *halved.days[1:]))
    digest = digest_of(halved)

    assert digest.goals[0].target == 45 + 90
    assert next(a for a in digest.activities if a.activity == "rolling").known_times == 3 + 6


def test_a_silent_week_leaves_times_and_goals_unknown() -> None:
    digest = digest_of(week())
    rolling = next(a for a in digest.activities if a.activity == "rolling")

    assert [goal.done for goal in digest.goals] == [None, None]
    assert rolling.by_side == (None, None, None)
    assert "4 of" not in family_plain(digest, words_for("en"), name_of)


@pytest.mark.parametrize(
    ("language", "times", "goal"),
    [
        (
            "en",
            "Rolling 4 of 12 × · L 2 R 2",
            "On the tummy: 62 of 180 min: Lap tummy time 32, Tummy time 30",
        ),
        ("es", "Rolling 4 de 12 ×", "On the tummy: 62 de 180 min: Lap tummy time 32, Tummy time 30"),
    ],
)
def test_times_and_goals_stand_in_the_text(language: str, times: str, goal: str) -> None:
    text = family_plain(digest_of(told()), words_for(language), name_of)

    assert times in text
    assert goal in text


def test_a_session_without_a_length_is_not_asked_after_where_times_count() -> None:
    assert "without a length" not in family_plain(digest_of(told()), words_for("en"), name_of)


@pytest.mark.parametrize("sessions", [(), rolled(3)])
def test_pictures_of_times_are_drawn(sessions: tuple[Any, ...]) -> None:
    digest = digest_of(week(sessions=sessions))

    for draw in (week_picture, family_week_picture):
        assert imread(BytesIO(draw(digest, words_for("en"), name_of))).std() > 0.01


def test_the_bundle_counts_times_and_goals() -> None:
    bundle = fhir_bundle(told(), name_of)
    Bundle.model_validate(bundle)
    totals = {
        each["resource"]["code"]["text"]: each["resource"].get("valueQuantity", {})
        for each in bundle["entry"]
        if each["resource"]["resourceType"] == "Observation"
    }

    assert (totals["Rolling, total"]["value"], totals["Rolling, total"]["code"]) == (4, "{times}")
    assert totals["On the tummy, total of the goal"]["value"] == 62
    assert totals["At changes, total of the goal"]["value"] == 4


def test_the_week_as_json_names_goals_and_targets_of_times() -> None:
    told_json = digest_of(told()).as_json()

    assert told_json["goals"][1] == {
        "goal": "At changes", "counts": "times", "target": 12, "done": 4, "parts": {"rolling": 4},
    }  # fmt: skip
    assert next(a for a in told_json["activities"] if a["activity"] == "rolling")["target_times"] == 42
    assert "goals" not in digest_of(facts()).as_json()


def test_a_goal_of_held_activities_is_not_asked_on_that_day() -> None:
    days = list(told().days)
    days[0] = replace(days[0], goals=())
    minutes = digest_of(replace(told(), days=tuple(days))).goals[0]

    assert (minutes.done, minutes.target) == (10, 90)
    assert days[1].date == MONDAY + timedelta(days=1)
