"""`underwing day` as a person or a program drives it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import typer
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner, Result

from bot.commands.day import day
from bot.commands.work.day import answer_lines, wording_in
from scheduling.case import case_from
from tests.scheduling.families import activity, case, document

app = typer.Typer()
app.command()(day)

PLAN = document(activity(side="alternate"), activity("roll", 10, after_feed=20), feeds=["07:00", "19:00"])


@pytest.fixture
def plan_file(tmp_path: Path) -> Path:
    file = tmp_path / "plan.json"
    file.write_text(json.dumps(PLAN), encoding="utf-8")
    return file


def run(*arguments: object, typed: str | bytes = "") -> Result:
    return CliRunner().invoke(app, [str(each) for each in arguments], input=typed)


def answers(*typed: Any) -> list[dict[str, Any]]:
    lines = "".join(f"{each if isinstance(each, str) else json.dumps(each)}\n" for each in typed)
    result = run("--lines", "--json", typed=lines)
    assert result.exit_code == 0
    return [json.loads(line) for line in result.stdout.splitlines()]


def test_a_day_is_answered_in_json(plan_file: Path) -> None:
    result = run("--plan", plan_file, "--date", "2026-03-04", "--json")
    [planned] = json.loads(result.stdout)["days"]

    assert result.exit_code == 0
    assert planned["date"] == "2026-03-04"
    assert set(planned["prompts"][0]) == {"at", "at_utc", "activity", "side", "minutes", "moment", "because"}
    assert set(planned["targets"][0]) == {"activity", "target", "logged", "planned", "short", "why"}


def test_a_plan_in_yaml_with_bare_times_reads_like_json(plan_file: Path, tmp_path: Path) -> None:
    file = tmp_path / "plan.yaml"
    bare = (
        yaml.safe_dump(PLAN)
        .replace("'07:00'", "07:00")
        .replace("'19:00'", "19:00")
        .replace("'2026-01-05'", "2026-01-05")
    )
    file.write_text(bare, encoding="utf-8")

    assert "'" not in bare
    assert (
        run("--plan", file, "--date", "2026-03-04").stdout
        == run("--plan", plan_file, "--date", "2026-03-04").stdout
    )


def test_hours_and_a_log_plan_the_rest_of_the_day(plan_file: Path, tmp_path: Path) -> None:
    log = tmp_path / "log.json"
    entry = {
        "activity": "reach",
        "minutes": 10,
        "side": "left",
        "at": "2026-03-04T08:00:00+00:00",
        "prompted": True,
    }
    log.write_text(json.dumps([entry]), encoding="utf-8")
    result = run(
        "--plan", plan_file, "--date", "2026-03-04", "--log", log, "--from", "12:00", "--asleep-until", "13:30", "--json"
    )  # fmt: skip
    [planned] = json.loads(result.stdout)["days"]

    assert planned["targets"][0]["logged"] == 10
    assert min(prompt["at"][11:16] for prompt in planned["prompts"]) >= "13:30"


def test_several_days_are_planned_each_after_the_other(plan_file: Path) -> None:
    result = run("--plan", plan_file, "--date", "2026-02-27", "--days", 7, "--json")

    assert [each["date"][5:] for each in json.loads(result.stdout)["days"]] == [
        "02-27", "02-28", "03-01", "03-02", "03-03", "03-04", "03-05",
    ]  # fmt: skip


def test_without_json_the_day_is_told_in_lines(plan_file: Path) -> None:
    result = run("--plan", plan_file, "--date", "2026-03-04", "--language", "es")

    assert "lado derecho" in result.stdout


def test_every_problem_of_a_plan_is_told_on_a_line_of_its_own_with_exit_2(tmp_path: Path) -> None:
    file = tmp_path / "plan.json"
    file.write_text(json.dumps(PLAN | {"most_prompts": 99, "fedes": []}), encoding="utf-8")
    result = run("--plan", file, "--date", "2026-03-04")

    assert result.exit_code == 2
    assert [line.split(": ")[1] for line in result.stderr.splitlines()] == ["most_prompts", "fedes"]


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        (["--date", "2026-3-4"], "date"),
        (["--date", "2026-03-04", "--from", "25:00"], "from"),
        (["--date", "2026-03-04", "--asleep-until", "noon"], "asleep_until"),
        (["--date", "2026-03-04", "--days", "0"], "days"),
        (["--date", "2026-03-04", "--log", "missing.json"], "missing.json"),
    ],
)
def test_bad_input_gets_one_line_that_names_it_and_exit_2(
    plan_file: Path, arguments: list[str], named: str
) -> None:
    result = run("--plan", plan_file, *arguments)

    assert result.exit_code == 2
    assert named in result.stderr
    assert len(result.stderr.splitlines()) == 1


def test_a_file_that_is_no_json_is_told_its_place(tmp_path: Path) -> None:
    file = tmp_path / "plan.json"
    file.write_text("{\n'baby'", encoding="utf-8")
    result = run("--plan", file, "--date", "2026-03-04")

    assert result.exit_code == 2
    assert "line 2" in result.stderr


def test_the_schema_is_printed() -> None:
    assert json.loads(run("--schema").stdout)["title"] == "PlanDocument"


def test_each_line_gets_one_line_and_bad_ones_an_error() -> None:
    good = case(PLAN) | {"days": None, "log": None, "from": None, "asleep_until": None}
    found = answers(good, "nonsense", "", "[1]", "[" * 100_000, case(PLAN | {"awake": 3}), good)

    assert ["error" in each for each in found] == [False, True, True, True, True, True, False]
    assert found[0] == found[-1]
    assert "awake" in found[5]["error"]


def test_a_line_that_is_not_utf_8_gets_an_error() -> None:
    result = run("--lines", typed=b"\xff\xfe\n")

    assert json.loads(result.stdout) == {"error": "not UTF-8 text"}


@pytest.mark.parametrize(
    ("entry", "named"),
    [
        ({"minutes": -1}, "log[0].minutes"),
        ({"minutes": True}, "log[0].minutes"),
        ({"minutes": float("nan")}, "log[0].minutes"),
        ({"side": "both"}, "log[0].side"),
        ({"side": []}, "log[0].side"),
        ({"at": "2026-03-04T08:00:00"}, "log[0].at"),
        ({"at": None}, "log[0].at"),
        ({"prompted": 1}, "log[0].prompted"),
        ({"activity": 3}, "log[0].activity"),
    ],
)
def test_a_bad_log_entry_is_named(entry: dict[str, Any], named: str) -> None:
    whole = {"activity": "reach", "minutes": 5, "side": None, "at": "2026-03-04", "prompted": True} | entry
    [found] = answers(case(PLAN, log=[whole]))

    assert found["error"].startswith(named)


def test_an_entry_of_an_activity_outside_the_plan_is_passed_over() -> None:
    stray = {
        "activity": "other",
        "minutes": 5,
        "side": None,
        "at": "2026-03-04T08:00:00+00:00",
        "prompted": True,
    }

    assert answers(case(PLAN, log=[stray])) == answers(case(PLAN))


def test_a_misspelt_field_of_a_case_is_told_its_name() -> None:
    [found] = answers(case(PLAN, asleep_untill="15:00"))

    assert "asleep_until?" in found["error"]


json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=6)
    | st.sampled_from(["24:00", "1970-01-01"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=8,
)


@settings(max_examples=150, deadline=None)
@given(
    field=st.sampled_from(["plan", "date", "days", "log", "from", "asleep_until", "other"]), value=json_values
)
def test_any_value_in_any_field_of_a_case_is_answered(field: str, value: Any) -> None:
    line = json.dumps(case(PLAN) | {field: value}).encode()
    [answer] = answer_lines([line], lambda each: case_from(each).answer(wording_in("en")))

    assert list(json.loads(answer)) in (["days"], ["error"])


@settings(max_examples=80, deadline=None)
@given(line=st.binary(max_size=40))
def test_any_bytes_are_answered_with_an_error(line: bytes) -> None:
    [answer] = answer_lines([line], lambda each: case_from(each).answer(wording_in("en")))

    assert list(json.loads(answer)) == ["error"]


@pytest.mark.parametrize("date", ["1970-01-01", "2200-12-31"])
def test_the_first_and_the_last_date_can_be_planned(date: str) -> None:
    [found] = answers(case(PLAN, date, days=2))

    assert len(found["days"]) == 2
