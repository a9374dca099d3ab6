"""A plan lived by invented families: what they do, what it comes to, what would help."""

from __future__ import annotations

import asyncio
import json
from dataclasses import replace
from datetime import UTC, date, datetime
from random import Random

import pytest
from typer.testing import CliRunner

from bot.activities.library import load_library
from bot.commands.all import app
from bot.errors import InputProblem
from bot.phrases import words_for
from bot.rehearsal.figures import ActivityMinutes, Lived, Sent, share_of_target
from bot.rehearsal.fit import fit_of
from bot.rehearsal.living import Trial
from bot.rehearsal.picture import picture
from bot.storage.caseload_file import caseload_from
from demo.scenario import read_scenario
from demo.weeks.kinds import BY_ID, KINDS, TrueDay, true_day
from demo.weeks.live import live
from demo.weeks.page import page
from demo.weeks.rehearse import trial_of
from demo.weeks.side_by_side import grouped, in_processes

LIBRARY = load_library()
CASELOAD = caseload_from(read_scenario().caseload, list(LIBRARY), where="scenario")
TRIAL = replace(
    trial_of(CASELOAD, CASELOAD.families[0], datetime(2026, 3, 4, tzinfo=UTC), days=2, seed=1),
    kinds=("diligent", "two_homes"),
)

PLAN = TRIAL.as_plan


def lived(trial: Trial) -> dict[str, Lived]:
    shares: list[float] = []
    found = asyncio.run(live(trial, LIBRARY, shares.append))
    assert shares == sorted(shares)
    return {each.kind: each for each in found}


@pytest.fixture(scope="module")
def week() -> dict[str, Lived]:
    return lived(TRIAL)


def test_the_days_show_what_a_kind_makes_of_the_plan(week: dict[str, Lived]) -> None:
    diligent = week["diligent"]

    assert (diligent.answered_share or 0) > 0.75
    assert (share_of_target(diligent.activities) or 0) > 0.2
    assert diligent.load[0] == PLAN.most_prompts == 6
    assert {each.activity for each in diligent.activities} == {"tummy_time", "football_hold", "hand_to_mouth"}


def test_in_two_homes_only_the_carer_who_has_the_baby_answers(week: dict[str, Lived]) -> None:
    per_day = [
        sum(s.day == day for s in week["two_homes"].sent) for day in {s.day for s in week["two_homes"].sent}
    ]

    assert max(per_day) <= PLAN.most_prompts


def test_the_same_seed_lives_the_same_days_in_another_process_and_whoever_lives_beside(
    week: dict[str, Lived],
) -> None:
    shares: list[float] = []
    found = in_processes(TRIAL, [[BY_ID["diligent"]]], LIBRARY, shares.append)

    assert found == [week["diligent"]]
    assert shares == sorted(shares) and shares[-1] > 0.9


def test_what_happens_is_shared_out_about_evenly() -> None:
    groups = grouped(KINDS, 2)
    work = [sum((1 + kind.answers) * kind.homes for kind in group) for group in groups]

    assert sorted(kind.id for group in groups for kind in group) == sorted(kind.id for kind in KINDS)
    assert max(work) - min(work) < max((1 + kind.answers) * kind.homes for kind in KINDS)
    assert len(grouped(KINDS, 16)) == len(KINDS)


def test_the_page_and_the_picture_hold_every_kind(week: dict[str, Lived]) -> None:
    names = {each.activity: LIBRARY.name(each.activity, "en") for each in PLAN.activities}
    fit = fit_of(PLAN, TRIAL.first)
    lines = "\n".join(page("Pip", 1, list(week.values()), fit, names))
    drawn = picture(PLAN, "Pip", TRIAL.first, list(week.values()), words_for("es"))

    assert all(each.title in lines for each in week.values())
    assert drawn.startswith(b"\x89PNG")
    assert json.loads(json.dumps([each.as_json() for each in week.values()]))[0]["days"] == 2


def test_what_does_not_fit_is_said_with_what_would_help() -> None:
    tight = replace(PLAN, most_prompts=3)
    fit = fit_of(tight, date(2026, 3, 2))

    assert fit.short and fit.short[0].why is not None and fit.short[0].why.kind == "most_prompts"
    assert fit.helps[0].short < fit.short_a_day
    more = [each for each in fit.helps if each.change == "most_prompts"]
    assert more and len({each.short for each in more}) == len(more)  # no change that a smaller one makes idle


def test_a_plan_that_fits_needs_no_help() -> None:
    roomy = replace(PLAN, activities=PLAN.activities[1:2])
    fit = fit_of(roomy, date(2026, 3, 2))

    assert (fit.short_a_day, fit.short, fit.helps) == (0, (), ())


def test_a_day_is_awake_asleep_or_at_a_feed() -> None:
    day = TrueDay(((420, 540),), (430,))

    assert [day.state(minute) for minute in (419, 420, 430, 449, 450, 540)] == [
        "asleep", "awake", "feeding", "feeding", "awake", "asleep",
    ]  # fmt: skip


def test_nights_out_of_joint_stand_later_than_told_and_a_feed_moves_with_its_span() -> None:
    nights = next(kind for kind in KINDS if kind.id == "nights")
    day = true_day(replace(nights, drift=0), ((420, 540),), (430,), 0, Random(1))

    assert (day.awake, day.feeds) == (((495, 615),), (505,))


def test_shares_are_of_what_is_known() -> None:
    nothing = Lived("silent", "Silent", 7, (), 0, (6, 6, 5), (), ())
    some = replace(nothing, sent=(Sent(date(2026, 3, 2), 600, True), Sent(date(2026, 3, 2), 700, False)))

    assert (nothing.ill_timed_share, nothing.answered_share, share_of_target(())) == (None, None, None)
    assert some.ill_timed_share == 0.5
    assert nothing.load_changes == ((3, 6, 5),)
    assert (
        share_of_target(
            [ActivityMinutes("a", "A", 10, 20, 0, 0, 20), ActivityMinutes("b", "B", None, 9, 0, 0, 9)]
        )
        == 1
    )


def test_an_unknown_family_is_said_before_anything_is_lived(tmp_path: object) -> None:
    import yaml

    file = f"{tmp_path}/caseload.yaml"
    with open(file, "w", encoding="utf-8") as out:
        yaml.safe_dump(read_scenario().caseload, out, allow_unicode=True)
    result = CliRunner().invoke(app, ["rehearse", file, "--family", "nobody"])

    assert isinstance(result.exception, InputProblem)
    assert "it has pip, luz, nell" in str(result.exception)
