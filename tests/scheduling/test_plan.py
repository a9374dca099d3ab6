from __future__ import annotations

import copy
import json
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduling.plan import PlanProblems, Problem, document_of, plan_from, plan_schema
from tests.scheduling.families import activity, cases, document

FULL = document(
    activity(
        target={"share_of_awake": 0.5},
        after_feed=20,
        before_feed=10,
        own_gap=60,
        moments=["nappy", "play"],
        side={"affected": 2, "unaffected": 1},
        weight=2.5,
        next={"then": "roll", "when": {"days": 5, "of": 7, "minutes": 10, "taken": "well"}},
        easier="lap",
    )
    | {"from": "2026-02-01", "until": "2026-06-30", "when": "early"},
    goals=[{"goal": "arm", "activities": ["reach"], "target": {"times": 6}, "weight": 2}],
    feeds=["07:00", "10:00"],
    moments={"nappy": ["08:00"], "play": []},
    quiet=["19:30", "06:30"],
    most_prompts=4,
    shortest_gap=45,
    arm_hold={"reason": "cast", "from": "2026-02-01", "until": "2026-02-20"},
)


def changed(path: str, value: Any) -> dict[str, Any]:
    """Return the full document with one field replaced; path like "activities.0.session.1"."""
    made = copy.deepcopy(FULL)
    *way, last = (int(part) if part.isdecimal() else part for part in path.split("."))
    place: Any = made
    for part in way:
        place = place[part]
    place[last] = value
    return made


def problems_of(made: object) -> list[tuple[str, str]]:
    with pytest.raises(PlanProblems) as raised:
        plan_from(made)
    return [(problem.path, problem.message) for problem in raised.value.problems]


def problems_or_none(made: object) -> tuple[Problem, ...]:
    try:
        plan_from(made)
    except PlanProblems as error:
        return error.problems
    return ()


def test_what_may_be_absent_has_its_default() -> None:
    plan = plan_from(document(activity()))
    first = plan.activities[0]

    assert (plan.feeds, plan.moments, plan.quiet, plan.most_prompts, plan.shortest_gap) == (
        (),
        (),
        None,
        6,
        30,
    )
    assert (first.after_feed, first.before_feed, first.own_gap, first.moments) == (0, 0, 0, None)
    assert (first.side, first.weight, first.from_, first.until) == ("none", 1, None, None)


def test_a_plan_written_out_reads_as_the_same_plan() -> None:
    plan = plan_from(FULL)

    assert plan_from(json.loads(json.dumps(document_of(plan)))) == plan


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(asked=cases())
def test_any_plan_written_out_reads_as_the_same_plan(asked: dict[str, Any]) -> None:
    plan = plan_from(asked["plan"])

    assert plan_from(json.loads(json.dumps(document_of(plan)))) == plan


@pytest.mark.parametrize(
    ("path", "value", "named"),
    [
        ("baby.nickname", " ", "baby.nickname"),
        ("baby.born", "2026-13-01", "baby.born"),
        ("baby.born", "20260105", "baby.born"),
        ("baby.gestation_weeks", 12, "baby.gestation_weeks"),
        ("baby.gestation_weeks", True, "baby.gestation_weeks"),
        ("baby.affected_side", "Right", "baby.affected_side"),
        ("time_zone", "Europe/Nowhere", "time_zone"),
        ("time_zone", "../etc/passwd", "time_zone"),
        ("awake", [["07:00", "25:00"]], "awake[0][1]"),
        ("awake", [["07:00"]], "awake[0]"),
        ("awake", [["09:00", "07:00"]], "awake[0]"),
        ("awake", [["07:00", "09:00"], ["08:59", "10:00"]], "awake[1]"),
        ("awake", [["09:00", "10:00"], ["07:00", "08:00"]], "awake[1]"),
        ("feeds", ["24:00"], "feeds[0]"),
        ("feeds", [420], "feeds[0]"),
        ("feeds", None, "feeds"),
        ("moments", {"nap": ["08:00"]}, "moments.nap"),
        ("moments", {"bath": ["8:00"]}, "moments.bath[0]"),
        ("quiet", ["20:00", "20:00"], "quiet"),
        ("quiet", ["20:00", "24:00"], "quiet[1]"),
        ("most_prompts", 25, "most_prompts"),
        ("most_prompts", -1, "most_prompts"),
        ("most_prompts", "6", "most_prompts"),
        ("shortest_gap", float("nan"), "shortest_gap"),
        ("shortest_gap", 1441, "shortest_gap"),
        ("activities.0.activity", "", "activities[0].activity"),
        ("activities.0.target", {"minutes": float("inf")}, "activities[0].target.minutes"),
        ("activities.0.target", {"minutes": True}, "activities[0].target.minutes"),
        ("activities.0.target", {"minutes": 5, "share_of_awake": 0.5}, "activities[0].target.share_of_awake"),
        ("activities.0.target", {}, "activities[0].target"),
        ("activities.0.target", {"share_of_awake": 1.01}, "activities[0].target.share_of_awake"),
        ("activities.0.session", [0, 5], "activities[0].session[0]"),
        ("activities.0.session", [3, 5.5], "activities[0].session[1]"),
        ("activities.0.session", [6, 5], "activities[0].session"),
        ("activities.0.session", [6], "activities[0].session"),
        ("activities.0.after_feed", -1, "activities[0].after_feed"),
        ("activities.0.moments", ["nappy", "lunch"], "activities[0].moments[1]"),
        ("activities.0.side", "left", "activities[0].side"),
        ("activities.0.side", {"affected": 2}, "activities[0].side.unaffected"),
        ("activities.0.side", {"affected": 0, "unaffected": 0}, "activities[0].side"),
        ("activities.0.weight", -0.5, "activities[0].weight"),
        ("activities.0.weight", None, "activities[0].weight"),
        ("activities.0.until", "2026-01-31", "activities[0].until"),
        ("activities.0.from", "soon", "activities[0].from"),
        ("activities.0.own_gap", "60", "activities[0].own_gap"),
        ("activities.0.afterfeed", 20, "activities[0].afterfeed"),
        ("activities.0", 7, "activities[0]"),
        ("fedes", [], "fedes"),
    ],
)
def test_a_wrong_field_gets_one_problem_that_names_it(path: str, value: Any, named: str) -> None:
    found = problems_of(changed(path, value))

    assert [path for path, _ in found] == [named]
    assert "allowed" in found[0][1] or "is missing" in found[0][1] or "is no field" in found[0][1]


def test_a_message_says_the_value_and_what_is_allowed() -> None:
    assert problems_of(changed("most_prompts", 25)) == [
        ("most_prompts", "25 is not allowed: give a whole number from 0 to 24")
    ]


def test_a_misspelt_field_is_told_its_likely_name() -> None:
    assert "did you mean feeds?" in problems_of(changed("fedes", []))[0][1]


def test_every_problem_of_a_document_is_told_at_once() -> None:
    made = changed("activities.0.session", [6, 5])
    made["most_prompts"] = 99
    made["baby"]["affected_side"] = "both"
    made["activities"] += [activity(), "stray"]
    del made["time_zone"]

    assert {path for path, _ in problems_of(made)} == {
        "time_zone",
        "most_prompts",
        "activities[0].session",
        "activities[0].side",
        "activities[1].activity",
        "activities[2]",
    }


@pytest.mark.parametrize("side", ["affected", "unaffected", {"affected": 2, "unaffected": 1}])
def test_with_both_sides_affected_a_rule_that_needs_one_is_refused(side: Any) -> None:
    made = changed("activities.0.side", side)
    made["baby"]["affected_side"] = "both"

    assert [path for path, _ in problems_of(made)] == ["activities[0].side"]


@pytest.mark.parametrize("side", ["none", "alternate"])
def test_with_both_sides_affected_the_other_rules_stand(side: str) -> None:
    made = changed("activities.0.side", side)
    made["baby"]["affected_side"] = "both"

    assert plan_from(made).activities[0].side == side


@pytest.mark.parametrize("made", [None, [], "plan", 3, True])
def test_what_is_no_object_is_refused_as_a_whole(made: object) -> None:
    assert [path for path, _ in problems_of(made)] == [""]


def test_midnight_may_end_an_awake_span() -> None:
    assert plan_from(document(activity(), awake=[["22:00", "24:00"]])).awake == ((1320, 1440),)


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)


@settings(max_examples=150, deadline=None)
@given(
    path=st.sampled_from(
        [
            "baby",
            "time_zone",
            "awake",
            "awake.0",
            "feeds",
            "moments",
            "quiet",
            "most_prompts",
            "shortest_gap",
            "activities",
            "arm_hold",
        ]
        + [f"arm_hold.{name}" for name in FULL["arm_hold"]]
        + [f"activities.0.{name}" for name in FULL["activities"][0]]
        + ["goals", *(f"goals.0.{name}" for name in FULL["goals"][0])]
    ),
    value=json_values,
)
def test_any_value_in_any_field_is_read_or_refused_with_a_named_problem(path: str, value: Any) -> None:
    problems = problems_or_none(changed(path, value))

    named = (path.split(".")[0], "goals[0].activities" if path.startswith("activities") else path[:5])
    assert all(problem.path.startswith(named) for problem in problems)


def test_the_schema_names_every_field_and_refuses_others() -> None:
    schema = plan_schema()

    assert set(schema["properties"]) == set(FULL)
    assert set(schema["$defs"]["ActivityDocument"]["properties"]) == {*FULL["activities"][0]}
    assert schema["additionalProperties"] is False


def test_the_schema_gives_the_bounds_and_a_description_of_each_field() -> None:
    schema = plan_schema()
    activity_fields = schema["$defs"]["ActivityDocument"]["properties"]

    assert (
        schema["properties"]["most_prompts"]["minimum"],
        schema["properties"]["most_prompts"]["maximum"],
    ) == (0, 24)
    assert activity_fields["session"]["items"]["minimum"] == 1
    assert all(field["description"] for field in (*schema["properties"].values(), *activity_fields.values()))
