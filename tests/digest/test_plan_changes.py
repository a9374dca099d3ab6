"""What changed between two versions of a plan, told to the therapist."""

from __future__ import annotations

import copy
from datetime import UTC
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from bot.digest.plan_changes import PlanChange, changes_between
from bot.digest.wording import Wording
from bot.phrases import LANGUAGES, words_for
from scheduling.plan import plan_from
from tests.digest.invented_weeks import name_of

DOCUMENT: dict[str, Any] = {
    "baby": {"nickname": "Pip", "born": "2025-11-20", "gestation_weeks": 39, "affected_side": "right"},
    "time_zone": "America/Halifax",
    "awake": [["07:00", "19:00"]],
    "activities": [
        {"activity": "tummy_time", "target": {"minutes": 40}, "session": [5, 10]},
        {
            "activity": "football_hold",
            "target": {"share_of_awake": 0.1},
            "session": [5, 5],
            "side": "alternate",
        },
    ],
}


def changed(*edits: tuple[list[Any], Any]) -> tuple[PlanChange, ...]:
    after = copy.deepcopy(DOCUMENT)
    for path, value in edits:
        place: Any = after
        for step in path[:-1]:
            place = place[step]
        place[path[-1]] = value
    return changes_between(plan_from(DOCUMENT), plan_from(after))


def test_the_same_plan_has_no_changes() -> None:
    assert changed() == ()


def test_a_target_in_minutes_or_as_a_share_is_told_as_it_was_and_is() -> None:
    assert changed((["activities", 0, "target"], {"share_of_awake": 0.25})) == (
        PlanChange("target", "tummy_time", "40", "25 %"),
    )


def test_an_activity_added_and_one_taken_out_are_told() -> None:
    added = {"activity": "rolling", "target": {"minutes": 5}, "session": [5, 5]}

    assert changed((["activities", 1], added)) == (
        PlanChange("added", "rolling", None, "5"),
        PlanChange("removed", "football_hold"),
    )


def test_the_days_shape_is_told_by_its_kind_and_limits_by_their_numbers() -> None:
    found = changed((["feeds"], ["08:00"]), (["quiet"], ["20:00", "07:00"]), (["most_prompts"], 4))

    assert found == (PlanChange("day"), PlanChange("quiet"), PlanChange("most_prompts", None, "6", "4"))


EDITS: list[tuple[list[Any], Any]] = [
    (["activities", 0, "target"], {"minutes": 30}),
    (["activities", 0, "session"], [3, 8]),
    (["activities", 0, "side"], "affected"),
    (["activities", 1, "side"], {"affected": 2, "unaffected": 1}),
    (["activities", 0, "moments"], ["bath"]),
    (["activities", 0, "from"], "2026-03-01"),
    (["activities", 0, "after_feed"], 30),
    (["activities", 0, "own_gap"], 60),
    (["activities", 0, "weight"], 2),
    (["awake"], [["08:00", "19:00"]]),
    (["quiet"], ["20:00", "07:00"]),
    (["most_prompts"], 3),
    (["shortest_gap"], 45),
    (["baby", "nickname"], "Wren"),
    (["time_zone"], "Europe/Madrid"),
]


@given(st.lists(st.sampled_from(range(len(EDITS))), unique=True))
def test_every_edit_is_told_once_and_in_words_of_both_languages(chosen: list[int]) -> None:
    found = changed(*(EDITS[n] for n in chosen))

    assert len(found) == len(chosen)
    for language in LANGUAGES:
        told = [Wording(words_for(language), name_of, UTC).plan_change(change) for change in found]
        assert all(told) and len(set(told)) == len(told)
