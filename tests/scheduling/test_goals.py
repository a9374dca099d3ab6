"""Days with goals, times and early activities. The laws are checked from the outside, by tests/scheduling/day_laws.py."""

from __future__ import annotations

from typing import Any

from hypothesis import HealthCheck, given, settings

from scheduling.case import Wording, case_from
from tests.scheduling.day_laws import Laws
from tests.scheduling.day_rules import broken_rules
from tests.scheduling.families import activity, case, cases, document

BARE = Wording(because=lambda because: f"{because.goal} {because.so_far:g}/{because.target:g}", why=str)
TUMMY = [
    activity("firm", 60, (3, 10)),
    activity("lap", 0, (3, 10)),
    activity("forearm", 0, (3, 10)),
]


def days(asked: dict[str, Any]) -> list[dict[str, Any]]:
    answered: list[dict[str, Any]] = case_from(asked).answer(BARE)["days"]
    return answered


def tummy(share: float = 0.5, **rest: Any) -> dict[str, Any]:
    activities = [
        each if each["activity"] == "firm" else {k: v for k, v in each.items() if k != "target"}
        for each in TUMMY
    ]
    goal = {"goal": "tummy", "activities": ["firm", "lap", "forearm"], "target": {"share_of_awake": share}}
    return document(*activities, goals=[goal], **rest)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(asked=cases(sizes=("small", "tight", "night"), goals=True))
def test_no_turn_is_passed_over_and_no_early_start_is_left_unused(asked: dict[str, Any]) -> None:
    answered = days(asked)[0]

    assert broken_rules(asked, answered) == []
    assert Laws(asked, answered).broken() == []


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(asked=cases(sizes=("small",), logged=False, goals=True))
def test_turns_carry_across_days(asked: dict[str, Any]) -> None:
    log: list[dict[str, Any]] = []
    for day in days(asked | {"days": 3}):
        assert Laws(asked | {"date": day["date"], "log": log}, day).broken() == []
        log += [
            {k: p[k] for k in ("activity", "minutes", "side", "at")} | {"prompted": True}
            for p in day["prompts"]
        ]


def test_half_of_waking_time_in_three_forms_and_an_hour_of_it_on_a_firm_surface() -> None:
    day = days(case(tummy(most_prompts=24, shortest_gap=15), days=1))[0]
    firm, goal = day["targets"][0], day["goals"][0]

    assert (firm["activity"], firm["target"], firm["short"]) == ("firm", 60, 0)
    assert (goal["goal"], goal["target"]) == ("tummy", 360)
    assert goal["planned"] == sum(prompt["minutes"] for prompt in day["prompts"]) == 240
    assert goal["short"] == 120 and goal["why"]


def test_the_reason_gives_the_numbers_of_the_goal_for_an_activity_without_a_target() -> None:
    day = days(case(tummy(0.25, most_prompts=12), days=1))[0]
    reasons = {prompt["activity"]: prompt["because"] for prompt in day["prompts"]}

    assert reasons["lap"].startswith("tummy ") and reasons["lap"].endswith("/180")
    assert reasons["firm"].startswith("None ")


def test_what_a_held_activity_did_counts_toward_no_goal() -> None:
    plan = tummy(0.25)
    plan["activities"][1]["from"] = "2026-04-01"
    log = [{"activity": "lap", "minutes": 30, "side": None, "at": "2026-03-04", "prompted": False}]

    assert days(case(plan, log=log))[0]["goals"][0]["logged"] == 0
    assert days(case(plan | {"goals": [plan["goals"][0] | {"activities": ["lap", "firm", "forearm"]}]}))


def test_a_goal_whose_activities_are_all_held_has_no_row() -> None:
    plan = tummy()
    for each in plan["activities"]:
        each["from"] = "2026-04-01"

    assert days(case(plan))[0]["goals"] == days(case(plan))[0]["targets"] == []


def test_times_are_counted_by_session_and_woven_into_moments() -> None:
    roll = activity("roll", session=(1, 3), moments=["nappy"]) | {"target": {"times": 6}}
    nappies = {"nappy": ["07:30", "10:00", "12:30", "15:00", "17:30"]}
    log = [
        {"activity": "roll", "minutes": None, "side": None, "at": "2026-03-04", "prompted": False},
        {"activity": "roll", "minutes": 2, "side": None, "at": "2026-03-04", "prompted": False},
        {"activity": "roll", "minutes": 0, "side": None, "at": "2026-03-04T07:30:00+00:00", "prompted": True},
    ]
    day = days(case(document(roll, moments=nappies), log=log))[0]
    row = day["targets"][0]

    assert (row["target"], row["logged"], row["planned"], row["short"]) == (6, 2, 4, 0)
    assert {prompt["minutes"] for prompt in day["prompts"]} == {1}


def test_a_session_without_minutes_gives_a_goal_the_least_of_one() -> None:
    log = [{"activity": "lap", "minutes": None, "side": None, "at": "2026-03-04", "prompted": False}]

    assert days(case(tummy(0.25), log=log))[0]["goals"][0]["logged"] == 3


def test_an_early_activity_stands_in_the_first_half_of_each_span() -> None:
    spans = [["07:00", "09:00"], ["11:00", "13:00"], ["15:00", "17:00"]]
    plan = document(activity("firm", 30, (10, 10), when="early"), activity("lap", 30, (10, 10)), awake=spans)
    starts = [
        prompt["at"][11:16] for prompt in days(case(plan))[0]["prompts"] if prompt["activity"] == "firm"
    ]

    assert len(starts) == 3
    assert all(any(begin <= at <= f"{int(begin[:2]) + 1:02d}:00" for begin, _ in spans) for at in starts)


def test_no_session_starts_on_the_minute_of_a_feed_unless_minutes_would_be_missing() -> None:
    feeds = ["07:00", "11:00", "15:00"]
    free = document(
        activity("firm", 30, (10, 10)), feeds=feeds, awake=[["07:00", "07:30"], ["11:00", "15:30"]]
    )
    tight = document(activity("firm", 20, (20, 20)), feeds=feeds, awake=[["07:00", "07:20"]])

    assert not {prompt["at"][11:16] for prompt in days(case(free))[0]["prompts"]} & set(feeds)
    assert [prompt["at"][11:16] for prompt in days(case(tight))[0]["prompts"]] == ["07:00"]
